/* SPDX-License-Identifier: MIT
 * Lists of band lines: the same numbers as a second reading of the text finds; lines that are
 * then taken are in reach and in order. */
#include "base/int_list.h"
#include "base/mem.h"
#include "store/activities.h"
#include "take.h"

enum { MOST = 600, DIGITS = 9 };

/* Is the text digits, one to nine, between single commas? How many numbers. */
static bool well_formed(const char *s, size_t *n)
{
    size_t digits = 0;
    *n = 1;
    for (; *s != '\0'; s++) {
        if (*s == ',') {
            if (digits == 0) {
                return false;
            }
            digits = 0;
            ++*n;
        } else if (strchr("0123456789", *s) == NULL || ++digits > DIGITS) {
            return false;
        }
    }
    return digits > 0;
}

static void check_numbers(const char *s, const int64_t *v, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        char *end;
        MUST(v[i] >= 0 && v[i] <= 999999999 && strtoll(s, &end, 10) == v[i]);
        MUST(*end == ',' || (*end == '\0' && i + 1 == n));
        s = end + 1;
    }
}

/* An activity of measures: every whole number from least to most is in reach. */
static void check_order(struct activity *a, size_t bands)
{
    const struct activity_version *v = &a->versions[0];
    const char *code = NULL;
    void *mem = mem_root();
    const char *at = activity_check_lines(mem, a, 0, bands, &code);
    bool good = v->band_line_count + 1 <= bands || v->band_line_count == 0;
    for (size_t i = 0; i < v->band_line_count; i++) {
        int64_t now = v->band_lines[i], before = i > 0 ? v->band_lines[i - 1] : 0;
        good = good && now >= a->hard_low.v && now <= a->hard_high.v;
        good = good && (i == 0 || (a->lower_is_better ? now < before : now > before));
    }
    MUST(good == (at == NULL) && (at == NULL) == (code == NULL));
    talloc_free(mem);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char some[] = "0123456789,,,- 9";
    struct bytes b = {data, size};
    struct activity a = {.kind = ACTIVITY_KIND_MEASURE, .version_count = 1};
    struct activity_version *v = &a.versions[0];
    unsigned how = take(&b);
    size_t bands = (size_t)take_int(&b, 1, 6), n = 0, len = 0, want;
    a.lower_is_better = how % 2;
    a.hard_low = (struct optional_int){true, take_int(&b, 0, 8)};
    a.hard_high = (struct optional_int){true, a.hard_low.v + (take(&b) % 2 ? 90 : 999999)};
    char *text = calloc(1, MOST + 1);
    for (; b.left > 0 && len < MOST; len++) {       /* any bytes, or those of lists */
        text[len] = (char)(how < 128 ? take(&b) : (unsigned)some[take(&b) % 16]);
    }
    enum int_list_fault f = int_list_read(text, ACTIVITY_BAND_LINES, v->band_lines, &n);
    bool good = well_formed(text, &want);
    MUST((f == INT_LIST_EMPTY) == (*text == '\0') && n <= ACTIVITY_BAND_LINES);
    MUST((f == INT_LIST_FINE) == (good && want <= ACTIVITY_BAND_LINES));
    MUST(f != INT_LIST_TYPE || !good);
    MUST(f != INT_LIST_TOO_MANY || n == ACTIVITY_BAND_LINES);
    MUST(f != INT_LIST_FINE || n == want);
    if (f == INT_LIST_FINE) {
        check_numbers(text, v->band_lines, n);
        v->band_line_count = n;
        check_order(&a, bands);
    }
    free(text);
    MUST(int_list_read(NULL, 0, NULL, &n) == INT_LIST_EMPTY && n == 0);
    return 0;
}
