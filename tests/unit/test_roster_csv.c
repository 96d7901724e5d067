/* SPDX-License-Identifier: MIT
 * The class list reader: encodings against the C library's iconv, cells against RFC 4180's own
 * examples, headings, refusals by line, and what a list must never bring in. Names are invented. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <iconv.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "base/name.h"
#include "base/roster_csv.h"

static struct roster got;
static struct roster_fault fault;

static enum err parse_n(void **state, const char *bytes, size_t n)
{
    fault = (struct roster_fault){0};
    return roster_parse(*state, bytes, n, &got, &fault);
}

static void parse(void **state, const char *text)
{
    assert_int_equal(parse_n(state, text, strlen(text)), OK);
}

static void parse_fault(void **state, const char *text, const char *code, int line)
{
    assert_int_equal(parse_n(state, text, strlen(text)), ERR_BAD_INPUT);
    assert_string_equal(fault.code, code);
    assert_int_equal(fault.line, line);
}

static const struct roster_row *row(size_t i)
{
    assert_true(i < got.row_count);
    return &got.rows[i];
}

static void is_name(size_t i, const char *name)
{
    assert_null(row(i)->refused);
    assert_string_equal(row(i)->name, name);
}

static void is_refused(size_t i, int line, const char *code)
{
    assert_non_null(row(i)->refused);
    assert_string_equal(row(i)->refused, code);
    assert_int_equal(row(i)->line, line);
}

static bool has_note(const char *code, int line)
{
    for (size_t i = 0; i < got.odd_count; i++) {
        if (strcmp(got.odd[i].code, code) == 0 && got.odd[i].line == line) {
            return true;
        }
    }
    return false;
}

/* Shapes of lists ------------------------------------------------------------------------------ */

static void test_plain_names(void **state)
{
    parse(state, "Amber T\nBo\n\n   \nCaz M\n");
    assert_false(got.header);
    assert_int_equal(got.row_count, 3);
    is_name(0, "Amber T");
    is_name(2, "Caz M");
    assert_int_equal(row(2)->line, 5);
    assert_int_equal(row(0)->year_group, -1);
}

static void test_header_words(void **state)
{
    static const char *const heads[] = {"Name", "PUPIL", "child", "Display-Name", "  known as ",
                                        "Pupil's name"};
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        char text[80];
        snprintf(text, sizeof text, "%s\nAmber\nBo\n", heads[i]);
        parse(state, text);
        assert_true(got.header);
        assert_int_equal(got.row_count, 2);
        is_name(0, "Amber");
    }
}

static void test_separators(void **state)
{
    static const char seps[] = {',', ';', '\t'};
    for (size_t i = 0; i < sizeof seps; i++) {
        char text[200];
        const char c = seps[i];
        snprintf(text, sizeof text,
                 "Pupil%cYear group%cClass\r\nAmber%c4%cRowan\r\n\"Bo%cX\"%cYr 3%cElm\r\n",
                 c, c, c, c, c == '\t' ? '-' : c, c, c);
        parse(state, text);
        assert_int_equal(got.separator, c);
        assert_int_equal(got.row_count, 2);
        is_name(0, "Amber");
        assert_int_equal(row(0)->year_group, 4);
        assert_string_equal(row(0)->class_name, "Rowan");
        assert_int_equal(row(1)->year_group, 3);
        assert_int_equal(row(1)->line, 3);
    }
}

/* RFC 4180 section 2, rules 1 to 7, its own strings under a heading of ours. */
static void test_rfc4180(void **state)
{
    parse(state, "name,year,class\r\naaa,bbb,ccc\r\nzzz,yyy,xxx");      /* rule 2: no last CRLF */
    assert_int_equal(got.row_count, 2);
    is_name(1, "zzz");
    parse(state, "name,year,class\r\n\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n");   /* rule 5 */
    is_name(0, "aaa");
    assert_string_equal(row(0)->class_name, "ccc");
    parse(state, "name,year,class\r\n\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n"); /* rule 6 */
    assert_int_equal(got.row_count, 2);
    assert_string_equal(row(0)->class_name, "ccc");
    assert_int_equal(row(0)->line, 2);
    assert_int_equal(row(1)->line, 4);      /* the line of the file, not the number of the record */
    parse(state, "name,year,class\r\n\"aaa\",\"b\"\"bb\",\"ccc\"\r\n");                 /* rule 7 */
    assert_true(has_note("year_group", 2));
    assert_string_equal(got.odd[0].text, "b\"bb");
}

static void test_line_ends(void **state)
{
    parse(state, "Name\rAmber\rBo\r");
    assert_int_equal(got.row_count, 2);
    assert_int_equal(row(1)->line, 3);
    parse(state, "Name\r\nAmber\nBo");
    assert_int_equal(got.row_count, 2);
    assert_int_equal(row(1)->line, 3);
}

static void test_least_data(void **state)
{
    parse(state, "UPN,Surname,Forename,Date of birth,Postcode,Yr\n"
                 "X1,Field,Amber,2017-01-01,AB1 2CD,4\nX2,Moss,Bo,2017-01-02,AB1 2CD,4\n");
    is_name(0, "Amber F");
    is_name(1, "Bo M");
    assert_true(has_note("forename_surname", 1));
    static const char *const use[] = {NULL, "surname", "forename", NULL, NULL, "year_group"};
    assert_int_equal(got.column_count, 6);
    for (size_t i = 0; i < 6; i++) {
        const char *word = roster_use_word(got.columns[i].use);
        if (use[i]) {
            assert_string_equal(word, use[i]);
        } else {
            assert_null(word);
        }
    }
    assert_string_equal(got.columns[3].header, "Date of birth");
    for (size_t i = 0; i < got.row_count; i++) {    /* nothing of a dropped column anywhere */
        assert_null(strstr(row(i)->name, "2017"));
        assert_null(row(i)->class_name);
    }
}

static void test_initials_tell_apart(void **state)
{
    parse(state, "First name,Last name\nSam,Kent\nSam,Kelly\nSam,Moss\nJo,\nSam,Kent\n"
                 "Élodie,Ñandú\n");
    is_name(0, "Sam Ken");
    is_name(1, "Sam Kel");
    is_name(2, "Sam M");
    is_name(3, "Jo");
    is_refused(4, 6, "duplicate");
    is_name(5, "Élodie Ñ");
    assert_true(has_note("longer_initial", 2));
    assert_true(has_note("longer_initial", 3));
    assert_false(has_note("longer_initial", 4));
}

static void test_display_name_wins(void **state)
{
    parse(state, "Forename,Surname,Display name\nAmber,Field,Ambs\n");
    is_name(0, "Ambs");
    assert_null(roster_use_word(got.columns[0].use));
    assert_null(roster_use_word(got.columns[1].use));
    parse(state, "Name,Pupil\nAmber,Other\n");
    is_name(0, "Amber");
    assert_true(has_note("column_twice", 1));
}

static void test_classes_of_rows(void **state)
{
    parse(state, "Name;Form\nAmber;Rowan\nAmber;Elm\namber;rowan\n");
    is_name(0, "Amber");
    is_name(1, "Amber");            /* two children of two classes */
    is_refused(2, 4, "duplicate");
}

/* Refusals ------------------------------------------------------------------------------------- */

static void test_rows_refused(void **state)
{
    char text[600];
    char long_name[42];
    memset(long_name, 'x', 41);
    long_name[41] = '\0';
    snprintf(text, sizeof text,
             "Name,Year\nAmber,4\n,4\n%s,4\nEv\x01il,4\nE\xe2\x80\xaevil,4\n\"two\nlines\",4\n"
             "=1+1,4\n AMBER ,4\nA\xcc\x8angstr\xc3\xb6m,4\n"
             "\xc3\x85ngstr\xc3\xb6m,4\n\xe2\x80\x8b,4\n",
             long_name);
    parse(state, text);
    is_name(0, "Amber");
    is_refused(1, 3, "required");
    is_refused(2, 4, "too_long");
    is_refused(3, 5, "control_character");
    is_refused(4, 6, "bidi");
    is_refused(5, 7, "control_character");
    is_refused(6, 9, "formula");
    is_refused(7, 10, "duplicate");
    /* Unicode Standard Annex #15: A + U+030A and U+00C5 are canonically equivalent. */
    is_name(8, "\xc3\x85ngstr\xc3\xb6m");
    is_refused(9, 12, "duplicate");
    is_refused(10, 13, "required");
}

static void test_forty_characters(void **state)
{
    char text[300] = "Name\n";
    for (int i = 0; i < 40; i++) {
        strcat(text, "\xc3\xa9");       /* 80 bytes, 40 characters */
    }
    parse(state, text);
    assert_null(row(0)->refused);
}

static void test_whole_file(void **state)
{
    parse_fault(state, "", "empty", 0);
    parse_fault(state, "\n \n,,,\n", "empty", 0);
    parse_fault(state, "Name\n", "empty", 0);
    parse_fault(state, "Field, Amber\nMoss, Bo\n", "no_header", 1);
    parse_fault(state, "\n\nId;Class\n1;Rowan\n", "no_name_column", 3);
    parse_fault(state, "Surname,Class\nMoss,Rowan\n", "no_name_column", 1);
    parse_fault(state, "Name,Year\nAmber,4\n\"Bo,4\nCaz,4\n", "quote_not_closed", 3);
    assert_int_equal(parse_n(state, "Na\0me\nAmber\n", 12), ERR_BAD_INPUT);
    assert_string_equal(fault.code, "not_text");
}

static void test_limits(void **state)
{
    char *big = talloc_array(*state, char, ROSTER_BYTES + 2);
    size_t n = 0;
    for (int i = 0; i < ROSTER_ROWS; i++) {
        n += (size_t)sprintf(big + n, "Child %d\n", i);
    }
    assert_int_equal(parse_n(state, big, n), OK);
    assert_int_equal(got.row_count, ROSTER_ROWS);
    n += (size_t)sprintf(big + n, "One more\n");
    assert_int_equal(parse_n(state, big, n), ERR_BAD_INPUT);
    assert_string_equal(fault.code, "too_many_rows");
    memset(big, 'a', ROSTER_BYTES + 1);
    assert_int_equal(parse_n(state, big, ROSTER_BYTES + 1), ERR_BAD_INPUT);
    assert_string_equal(fault.code, "too_large");
    /* A megabyte of separators costs no more than its size. */
    memset(big, ',', ROSTER_BYTES);
    memcpy(big, "Name", 4);
    size_t before = talloc_total_size(*state);
    assert_int_equal(parse_n(state, big, ROSTER_BYTES), ERR_BAD_INPUT);
    assert_string_equal(fault.code, "empty");
    assert_true(talloc_total_size(*state) - before < 16u * ROSTER_BYTES);
    talloc_free(big);
}

static void test_many_alike(void **state)
{
    char *text = talloc_array(*state, char, 100000);
    size_t n = (size_t)sprintf(text, "Forename,Surname\n");
    for (int i = 0; i < 1000; i++) {        /* names apart only at the end */
        n += (size_t)sprintf(text + n, "Sam,Aaaaaaaaaaaaaaaaaaaa%c%c%c\n", 'a' + i / 100,
                             'a' + i / 10 % 10, 'a' + i % 10);
    }
    assert_int_equal(parse_n(state, text, n), OK);
    is_name(0, "Sam Aaaaaaaaaaaaaaaaaaaaaaa");
    is_name(999, "Sam Aaaaaaaaaaaaaaaaaaaajjj");
}

static void test_years(void **state)
{
    (void)state;
    static const struct { const char *s; int year; } good[] = {
        {"3", 3}, {"Year 3", 3}, {"Y3", 3}, {"yr. 6", 6}, {"Reception", 0}, {"R", 0}, {"Year R", 0},
        {"0", 0}, {"Year group 7", 7}, {" 5 ", 5},
    };
    static const char *const bad[] = {"8", "12", "N1", "Nursery", "Year", "3a", "-1", "1.5", "33"};
    int year;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        assert_true(roster_year(good[i].s, &year));
        assert_int_equal(year, good[i].year);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        year = -5;
        if (strcmp(bad[i], "1.5") == 0) {
            continue;       /* points are dropped: "15" is no year either, see below */
        }
        assert_false(roster_year(bad[i], &year));
        assert_int_equal(year, -5);
    }
    assert_false(roster_year("1.5", &year));
}

/* Encodings ------------------------------------------------------------------------------------ */

static const char utf8_list[] = "Name\nZo\xc3\xab\n\xc5\x81ucja\n\xe6\x9d\x8e\n"
                                "\xf0\x9f\x8f\x93 Bo\n";

static void check_list(size_t from)
{
    is_name(from, "Zo\xc3\xab");
    is_name(from + 1, "\xc5\x81ucja");
    is_name(from + 2, "\xe6\x9d\x8e");
    is_name(from + 3, "\xf0\x9f\x8f\x93 Bo");
}

static void test_utf8_mark(void **state)
{
    char text[100] = "\xef\xbb\xbf";
    strcat(text, utf8_list);
    parse(state, text);
    assert_true(got.header);
    check_list(0);
    assert_false(has_note("encoding", 1));
}

/* The C library's iconv makes the UTF-16; ours has to read it. */
static void test_utf16(void **state)
{
    static const struct { const char *to, *mark; } kinds[] = {{"UTF-16LE", "\xff\xfe"},
                                                              {"UTF-16BE", "\xfe\xff"}};
    for (size_t i = 0; i < 2; i++) {
        iconv_t cd = iconv_open(kinds[i].to, "UTF-8");
        assert_true(cd != (iconv_t)-1);
        char out[300], in[100], *from = in, *to = out + 2;
        strcpy(in, utf8_list);
        memcpy(out, kinds[i].mark, 2);
        size_t left = strlen(in), room = sizeof out - 2;
        assert_int_equal(iconv(cd, &from, &left, &to, &room), 0);
        iconv_close(cd);
        assert_int_equal(parse_n(state, out, (size_t)(to - out)), OK);
        check_list(0);
        /* cut in the middle of a pair, or with half a unit: refused, not guessed */
        assert_int_equal(parse_n(state, out, (size_t)(to - out) - 1), ERR_BAD_INPUT);
        assert_string_equal(fault.code, "not_text");
    }
    assert_int_equal(parse_n(state, "\xff\xfe" "a\0\x3d\xd8" "b\0", 8), ERR_BAD_INPUT);
    assert_string_equal(fault.code, "not_text");
}

/* Every printable byte of Windows-1252 as the C library's iconv reads it. */
static void test_windows_1252(void **state)
{
    iconv_t cd = iconv_open("UTF-8", "CP1252");
    assert_true(cd != (iconv_t)-1);
    int checked = 0;
    for (int byte = 0x80; byte < 0x100; byte++) {
        char in[] = {'B', (char)byte, 'b', '\0'}, out[16] = {0}, *from = in, *to = out;
        size_t left = 3, room = sizeof out - 1;
        if (iconv(cd, &from, &left, &to, &room) == (size_t)-1) {
            iconv(cd, NULL, NULL, NULL, NULL);
            continue;               /* 81 8D 8F 90 9D are not assigned */
        }
        char text[32];
        snprintf(text, sizeof text, "Name\n%s\n", in);
        parse(state, text);
        assert_true(has_note("encoding", 1));
        char *clean = talloc_strdup(*state, out);
        if (byte == 0xa0) {
            strcpy(clean, "B b");   /* a no-break space is kept as a space */
        }
        is_name(0, clean);
        checked++;
    }
    iconv_close(cd);
    assert_int_equal(checked, 123);
    parse(state, "Name\nA\x81" "b\xe9\n");
    is_refused(0, 2, "control_character");
}

static void test_names(void **state)
{
    (void)state;
    assert_null(name_fault("Bo", 2, 40));
    assert_string_equal(name_fault("", 0, 40), "required");
    assert_string_equal(name_fault(" \t", 1, 40), "required");
    assert_string_equal(name_fault("\xe3\x85\xa4", 3, 40), "required");     /* U+3164 */
    assert_string_equal(name_fault("B\xc0\x80", 3, 40), "not_text");        /* RFC 3629: C0 never */
    assert_string_equal(name_fault("a\xe2\x80\xa8" "b", 5, 40), "control_character");
    assert_string_equal(name_fault("a\xe2\x81\xa7" "b", 5, 40), "bidi");    /* U+2067 */
    assert_null(name_fault("O'Neil-\xe2\x80\x99 <b>", 14, 40));
}

static int make_ctx(void **state)
{
    *state = mem_root();
    return 0;
}

static int free_ctx(void **state)
{
    talloc_free(*state);
    return 0;
}

#define T(f) cmocka_unit_test_setup_teardown(f, make_ctx, free_ctx)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(test_plain_names), T(test_header_words), T(test_separators), T(test_rfc4180),
        T(test_line_ends), T(test_least_data), T(test_initials_tell_apart),
        T(test_display_name_wins), T(test_classes_of_rows), T(test_rows_refused),
        T(test_forty_characters), T(test_whole_file), T(test_limits), T(test_many_alike),
        T(test_years), T(test_utf8_mark), T(test_utf16), T(test_windows_1252), T(test_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
