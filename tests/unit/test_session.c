/* SPDX-License-Identifier: MIT
 * Keys, sessions, cards and the audit chain on a real database. School, names and results are
 * invented. Spans are our own rule: staff 30 min / 8 h, pupil 20 min / 3 h, carer 15 min / 1 h. */
#include "t.h"

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "auth/audit.h"
#include "auth/auth.h"
#include "auth/cards.h"
#include "auth/session.h"
#include "base/clock.h"
#include "base/mem.h"
#include "fixture.h"
#include "store/audit.h"
#include "store/cards.h"
#include "store/rights.h"
#include "store/sessions.h"
#include "store/staff.h"

enum { MIN = 60, HOUR = 3600, CLASS = 70, GROUP = 71, SAM = 501, ADA = 502, TEACHER = 11, COVER = 12 };
/* Wednesday 25 November 2026, 10:00 in London. */
static const int64_t now = 1795600800;

struct scene {
    struct fixture f;
    struct keys *keys;
};

static int set_up(void **state)
{
    struct scene *s = calloc(1, sizeof *s);
    const char *why = "";
    fixture_school(&s->f);
    fixture_sql(&s->f,
                "INSERT INTO staff(id, name, name_key, passphrase_hash, created_at) VALUES"
                " (11, 'T. Moss', 't. moss', 'x', 1), (12, 'C. Fenn', 'c. fenn', 'x', 1);"
                "INSERT INTO class(id, name, name_key, kind, created_at) VALUES"
                " (70, '4 Heron', '4 heron', 'class', 1), (71, 'Swim A', 'swim a', 'group', 1);"
                "INSERT INTO pupil(id, display_name, name_key, picture, created_at) VALUES"
                " (501, 'Sam P', 'sam p', 3, 1), (502, 'Ada K', 'ada k', 4, 1);"
                "INSERT INTO membership(pupil_id, class_id, from_day) VALUES"
                " (501, 70, 20000), (502, 70, 20000), (501, 71, 20000);"
                "INSERT INTO class_right (class_id, staff_id, right, until_day) VALUES (70, 11, 'teach', NULL), (71, 12, 'help', 20782);");
    assert_int_equal(keys_create(s->f.dir, &why), OK);
    assert_int_equal(keys_load(s->f.dir, &s->keys, &why), OK);
    *state = s;
    return 0;
}

static int tear_down(void **state)
{
    struct scene *s = *state;
    keys_free(s->keys);
    fixture_close(&s->f);
    free(s);
    return 0;
}

/* In one transaction ---------------------------------------------------------------------------- */

struct making {
    struct scene *s;
    struct card_order order;
    struct card_made made;
};

static enum err make_tx(struct store *st, void *arg)
{
    struct making *m = arg;
    return card_make(st, m->s->f.mem, &m->order, &m->made);
}

static enum err make(struct scene *s, int64_t pupil, enum card_holder holder, struct card_made *out)
{
    struct making m = {.s = s, .order = {.keys = s->keys, .origin = "http://127.0.0.1:8080",
                                         .pupil = {pupil}, .holder = holder, .now = now}};
    enum err e = store_tx(s->f.st, "make", make_tx, &m);
    *out = m.made;
    return e;
}

struct starting {
    struct session_begin b;
    char token[TOKEN_TEXT];
    struct session_begun begun;
};

static enum err start_tx(struct store *st, void *arg)
{
    struct starting *a = arg;
    return session_begin(st, &a->b, a->token, &a->begun);
}

static struct starting start(struct scene *s, enum role role, int64_t id, int64_t at)
{
    struct starting a = {.b = {.role = role, .now = at}};
    if (role == ROLE_STAFF) {
        a.b.staff.v = id;
    } else {
        a.b.card.v = id;
    }
    assert_int_equal(store_tx(s->f.st, "start", start_tx, &a), OK);
    return a;
}

static bool alive(struct scene *s, const struct starting *a, int64_t at)
{
    struct session_row row;
    uint8_t hash[TOKEN_HASH];
    assert_true(token_hash(a->token, strlen(a->token), hash));
    assert_memory_equal(hash, a->begun.hash, sizeof hash);
    enum err e = session_find(s->f.st, hash, at, &row);
    assert_true(e == OK || e == ERR_NOT_FOUND);
    return e == OK && !session_is_over(row.role, row.started_at, row.seen_at, at);
}

/* Tests ------------------------------------------------------------------------------------------ */

static void key_file(void **state)
{
    struct scene *s = *state;
    struct stat st;
    struct keys *again = NULL;
    const char *why = NULL;
    char *path = fixture_path(&s->f, "master.key");
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(st.st_mode & 07777, 0600);
    assert_int_equal(st.st_size, 32);
    assert_int_equal(keys_create(s->f.dir, &why), ERR_CONFLICT);
    assert_int_equal(keys_load(s->f.dir, &again, &why), OK);
    assert_memory_equal(again, s->keys, sizeof *again);
    assert_memory_not_equal(again->cardhash, again->csrftokn, KEY_LEN);
    keys_free(again);
    assert_int_equal(chmod(path, 0640), 0);
    assert_int_equal(keys_load(s->f.dir, &again, &why), ERR_FORBIDDEN);
    assert_null(again);
    assert_int_equal(chmod(path, 0600), 0);
    assert_int_equal(truncate(path, 31), 0);
    assert_int_equal(keys_load(s->f.dir, &again, &why), ERR_STORE);
    /* The service manager's credential wins over the folder's file. */
    char *dir = fixture_path(&s->f, "cred");
    assert_int_equal(mkdir(dir, 0700), 0);
    assert_int_equal(keys_create(dir, &why), OK);
    setenv("CREDENTIALS_DIRECTORY", dir, 1);
    assert_int_equal(keys_load(s->f.dir, &again, &why), OK);
    assert_memory_not_equal(again, s->keys, sizeof *again);
    unsetenv("CREDENTIALS_DIRECTORY");
    keys_free(again);
}

static void cookies(void **state)
{
    static const struct {
        const char *header, *want;
    } rows[] = {
        {"s=abc", "abc"}, {"a=1; s=abc", "abc"}, {"a=1;s=abc ; b=2", "abc"}, {"ss=1; s=x", "x"},
        {"s=", ""}, {"a=1", NULL}, {"", NULL}, {NULL, NULL}, {"s=1; s=2", NULL}, {"S=1", NULL},
        {"xs=1", NULL}, {"s", NULL}, {"s=a=b", "a=b"}, {"__Host-s=q", NULL},
    };
    (void)state;
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        size_t n = 99;
        const char *got = cookie_find(rows[i].header, "s", &n);
        assert_int_equal(got != NULL, rows[i].want != NULL);
        if (got) {
            assert_int_equal(n, strlen(rows[i].want));
            assert_memory_equal(got, rows[i].want, n);
        }
    }
    uint8_t hash[TOKEN_HASH];
    assert_false(token_hash("short", 5, hash));
    assert_false(token_hash("!aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", 43, hash));
}

static void spans(void **state)
{
    static const struct {
        enum role role;
        int64_t idle, whole;
    } rows[] = {{ROLE_STAFF, 30 * MIN, 8 * HOUR}, {ROLE_PUPIL, 20 * MIN, 3 * HOUR},
                {ROLE_CARER, 15 * MIN, HOUR}};
    (void)state;
    for (size_t i = 0; i < T_COUNT(rows); i++) {
        assert_false(session_is_over(rows[i].role, now, now, now + rows[i].idle - 1));
        assert_true(session_is_over(rows[i].role, now, now, now + rows[i].idle));
        int64_t end = now + rows[i].whole;
        assert_false(session_is_over(rows[i].role, now, end - 1, end - 1));
        assert_true(session_is_over(rows[i].role, now, end, end));
    }
    assert_true(session_is_over(ROLE_NONE, now, now, now));
}

/* The clock set back an hour revives nothing: the machine's own clock says how late it must be. */
static void clock_set_back(void **state)
{
    struct auth a = {.wall_at = now, .mono_ms = clock_mono_ms() - 40 * MIN * 1000};
    (void)state;
    assert_in_range(auth_now(&a, now - HOUR), now + 40 * MIN, now + 40 * MIN + 5);
    assert_int_equal(auth_now(&a, now + HOUR), now + HOUR);
    assert_true(session_is_over(ROLE_STAFF, now, now, auth_now(&a, now - HOUR)));
}

static void life_of_a_session(void **state)
{
    struct scene *s = *state;
    struct card_made card;
    assert_int_equal(make(s, SAM, CARD_FOR_PUPIL, &card), OK);
    struct starting a = start(s, ROLE_PUPIL, card.id.v, now);
    assert_true(alive(s, &a, now + 19 * MIN));
    assert_false(alive(s, &a, now + 20 * MIN));
    assert_int_equal(session_touch(s->f.st, a.begun.id, now + 19 * MIN), OK);
    assert_true(alive(s, &a, now + 38 * MIN));
    assert_int_equal(session_touch(s->f.st, a.begun.id, now), OK);      /* never backwards */
    assert_true(alive(s, &a, now + 38 * MIN));
    /* Only the hash is stored. */
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM session WHERE length(token_hash) = 32"), 1);
    assert_int_equal(session_end(s->f.st, a.begun.id), OK);
    assert_false(alive(s, &a, now));
    /* A sign-in over an old session ends that one, and its token differs. */
    struct starting b = start(s, ROLE_PUPIL, card.id.v, now);
    struct starting c = {.b = {.role = ROLE_PUPIL, .card = card.id, .now = now,
                               .replaces = b.begun.id}};
    assert_int_equal(store_tx(s->f.st, "start", start_tx, &c), OK);
    assert_string_not_equal(b.token, c.token);
    assert_false(alive(s, &b, now));
    assert_true(alive(s, &c, now));
}

static void at_most_so_many(void **state)
{
    struct scene *s = *state;
    struct starting staff[7], pupil[5];
    struct card_made card;
    for (int i = 0; i < 7; i++) {
        staff[i] = start(s, ROLE_STAFF, TEACHER, now + i);
    }
    for (int i = 0; i < 7; i++) {
        assert_int_equal(alive(s, &staff[i], now + 10), i >= 2);
    }
    assert_int_equal(make(s, SAM, CARD_FOR_PUPIL, &card), OK);
    for (int i = 0; i < 5; i++) {
        pupil[i] = start(s, ROLE_PUPIL, card.id.v, now + i);
    }
    for (int i = 0; i < 5; i++) {
        assert_int_equal(alive(s, &pupil[i], now + 10), i >= 2);
    }
    assert_true(alive(s, &staff[6], now + 10));
    /* What was last seen long ago is swept at the next sign-in. */
    (void)start(s, ROLE_STAFF, COVER, now + 2 * HOUR);
    assert_int_equal(fixture_int(&s->f, "SELECT count(*) FROM session"), 1);
}

/* Taking access away works at the next request: OWASP ASVS 5.0.0, 7.4.1 and 7.4.2 (a session that
 * ends cannot be used again; an account that is disabled loses its sessions). */
static void ends_with_what_opened_it(void **state)
{
    struct scene *s = *state;
    struct card_made sam, ada, family;
    assert_int_equal(make(s, SAM, CARD_FOR_PUPIL, &sam), OK);
    assert_int_equal(make(s, ADA, CARD_FOR_PUPIL, &ada), OK);
    assert_int_equal(make(s, SAM, CARD_FOR_FAMILY, &family), OK);
    struct starting staff = start(s, ROLE_STAFF, TEACHER, now);
    struct starting p = start(s, ROLE_PUPIL, sam.id.v, now);
    struct starting q = start(s, ROLE_PUPIL, ada.id.v, now);
    struct starting c = start(s, ROLE_CARER, family.id.v, now);
    assert_true(alive(s, &staff, now) && alive(s, &p, now) && alive(s, &q, now) && alive(s, &c, now));

    assert_int_equal(card_cancel(s->f.st, sam.id, now), OK);
    assert_int_equal(card_cancel(s->f.st, sam.id, now), ERR_NOT_FOUND);
    assert_false(alive(s, &p, now));
    assert_true(alive(s, &q, now));
    fixture_sql(&s->f, "UPDATE pupil SET family_view = 'off' WHERE id = 501");
    assert_false(alive(s, &c, now));
    fixture_sql(&s->f, "UPDATE pupil SET family_view = 'open' WHERE id = 501");
    assert_true(alive(s, &c, now));
    assert_int_equal(sessions_end_family(s->f.st, (struct pupil_id){SAM}), OK);
    assert_false(alive(s, &c, now));
    fixture_sql(&s->f, "UPDATE pupil SET left_day = 20700 WHERE id = 502");
    assert_false(alive(s, &q, now));
    fixture_sql(&s->f, "UPDATE staff SET disabled_at = 1 WHERE id = 11");
    assert_false(alive(s, &staff, now));
}

static void three_cards(void **state)
{
    struct scene *s = *state;
    struct card_made m[3], more;
    static const char *const want[2][3] = {{"home", "other_home", "school"},
                                           {"card_1", "card_2", "card_3"}};
    for (int h = 0; h < 2; h++) {
        for (int i = 0; i < 3; i++) {
            assert_int_equal(make(s, SAM, (enum card_holder)h, &m[i]), OK);
            assert_string_equal(m[i].label, want[h][i]);
        }
        assert_int_equal(make(s, SAM, (enum card_holder)h, &more), ERR_CONFLICT);
        assert_int_equal(card_cancel(s->f.st, m[1].id, now), OK);
        assert_int_equal(make(s, SAM, (enum card_holder)h, &more), OK);
        assert_string_equal(more.label, want[h][1]);
    }
    assert_int_equal(make(s, 999, CARD_FOR_PUPIL, &more), ERR_NOT_FOUND);
    fixture_sql(&s->f, "UPDATE pupil SET left_day = 20700 WHERE id = 502");
    assert_int_equal(make(s, ADA, CARD_FOR_PUPIL, &more), ERR_NOT_FOUND);
}

static void secrets_open_and_are_not_stored(void **state)
{
    struct scene *s = *state;
    struct card_made m;
    struct card_row row;
    char code[CARD_FAMILY + 1];
    uint8_t hash[CARD_HASH];
    assert_int_equal(make(s, SAM, CARD_FOR_FAMILY, &m), OK);
    assert_int_equal(card_code_read(m.code, strlen(m.code), code), CARD_CODE_OK);
    assert_int_equal(strlen(code), CARD_FAMILY);
    card_code_hash(s->keys, code, hash);
    assert_int_equal(card_by_code(s->f.st, s->f.mem, hash, now, &row), OK);
    assert_int_equal(row.pupil.v, SAM);
    const char *key = strstr(m.url, "/c#k=");
    assert_non_null(key);
    assert_true(card_key_hash(key + 5, strlen(key + 5), hash));
    assert_int_equal(card_by_key(s->f.st, s->f.mem, hash, now, &row), OK);
    assert_int_equal(row.id.v, m.id.v);
    /* A family card ends at 23:59 on 31 August, summer time: 22:59 UTC. */
    int64_t ends = fixture_int(&s->f, "SELECT expires_at FROM card");
    char text[21];
    clock_at_print(ends, text);
    assert_string_equal(text, "2027-08-31T22:59:00Z");
    assert_int_equal(card_by_key(s->f.st, s->f.mem, hash, ends - 1, &row), OK);
    assert_int_equal(card_by_key(s->f.st, s->f.mem, hash, ends, &row), ERR_CARD_ENDED);
    /* Neither code nor key is anywhere in the folder. */
    char *db = fixture_path(&s->f, "school.db"), *wal = fixture_path(&s->f, "school.db-wal");
    const char *const files[] = {db, wal};
    for (size_t i = 0; i < T_COUNT(files); i++) {
        int fd = open(files[i], O_RDONLY);
        assert_true(fd >= 0);
        static char bytes[8 << 20];
        ssize_t n = read(fd, bytes, sizeof bytes);
        close(fd);
        assert_true(n >= 0);
        assert_null(memmem(bytes, (size_t)n, code, CARD_FAMILY));
        assert_null(memmem(bytes, (size_t)n, key + 5, 26));
    }
}

static void rights(void **state)
{
    struct scene *s = *state;
    struct rights_found f;
    struct rights_of teacher = {s->f.st, {TEACHER}, 20782}, cover = {s->f.st, {COVER}, 20782};
    struct rights_of later = {s->f.st, {COVER}, 20783};
    unsigned any;
    assert_int_equal(rights_class(&teacher, CLASS, &f), OK);
    assert_true(f.there && f.bits == ALLOW_TEACH);
    assert_int_equal(rights_class(&teacher, GROUP, &f), OK);
    assert_true(f.there && f.bits == 0);
    assert_int_equal(rights_class(&teacher, 999, &f), OK);
    assert_false(f.there);
    assert_int_equal(rights_pupil(&teacher, ADA, &f), OK);
    assert_true(f.there && f.bits == ALLOW_TEACH);
    assert_int_equal(rights_pupil(&cover, SAM, &f), OK);
    assert_true(f.there && f.bits == ALLOW_HELP);       /* through the group, on its last day */
    assert_int_equal(rights_pupil(&cover, ADA, &f), OK);
    assert_true(f.there && f.bits == 0);
    assert_int_equal(rights_pupil(&later, SAM, &f), OK);
    assert_true(f.there && f.bits == 0);                /* the day after */
    assert_int_equal(rights_any(&later, &any), OK);
    assert_int_equal(any, 0);
    /* A child that moved away is not seen any more. */
    fixture_sql(&s->f, "UPDATE membership SET to_day = 20781 WHERE pupil_id = 502");
    assert_int_equal(rights_pupil(&teacher, ADA, &f), OK);
    assert_true(f.there && f.bits == 0);
}

static enum err three_rows(struct store *st, void *arg)
{
    struct scene *s = arg;
    enum err e = audit_add(st, s->keys, now, "staff:11", "card made", "pupil:501", "pupil");
    e = e ? e : audit_add(st, s->keys, now + 1, "staff:11", "card made", "pupil:502", "pupil");
    return e ? e : audit_add(st, s->keys, now + 2, "office box", "staff added", "staff:12", "");
}

/* Flip, drop, reorder: each shows. The triggers that guard the table have to be dropped first. */
static void audit_chain(void **state)
{
    struct scene *s = *state;
    static const char *const harm[] = {
        "UPDATE audit SET object = 'pupil:502' WHERE seq = 1",
        "UPDATE audit SET at = at + 1 WHERE seq = 2",
        "UPDATE audit SET actor = 'staff:1', action = '1card made' WHERE seq = 2",
        "UPDATE audit SET mac = zeroblob(32) WHERE seq = 3",
        "DELETE FROM audit WHERE seq = 2",
        "DELETE FROM audit WHERE seq = 1",
        "UPDATE audit SET seq = 9 WHERE seq = 1; UPDATE audit SET seq = 1 WHERE seq = 2;"
        "UPDATE audit SET seq = 2 WHERE seq = 9",
    };
    struct audit_head head;
    struct audit_row *rows;
    size_t n;
    assert_int_equal(store_tx(s->f.st, "audit", three_rows, s), OK);
    assert_int_equal(audit_verify(s->f.st, s->keys, &head), OK);
    assert_int_equal(head.broken_at, 0);
    assert_int_equal(head.rows, 3);
    assert_int_equal(strlen(head.mac), 16);
    assert_int_not_equal(fixture_sql_rc(&s->f, harm[0]), 0);
    assert_int_not_equal(fixture_sql_rc(&s->f, harm[4]), 0);
    assert_int_equal(audit_page(s->f.st, s->f.mem, 3, 1, &rows, &n), OK);
    assert_int_equal(n, 1);
    assert_int_equal(rows[0].seq, 2);
    fixture_sql(&s->f, "DROP TRIGGER audit_stays; DROP TRIGGER audit_kept;"
                       "CREATE TABLE kept AS SELECT * FROM audit");
    for (size_t i = 0; i < T_COUNT(harm); i++) {
        fixture_sql(&s->f, harm[i]);
        assert_int_equal(audit_verify(s->f.st, s->keys, &head), OK);
        assert_int_not_equal(head.broken_at, 0);
        fixture_sql(&s->f, "DELETE FROM audit; INSERT INTO audit SELECT * FROM kept");
        assert_int_equal(audit_verify(s->f.st, s->keys, &head), OK);
        assert_int_equal(head.broken_at, 0);
    }
    char before[17];
    memcpy(before, head.mac, sizeof before);
    fixture_sql(&s->f, "DELETE FROM audit WHERE seq = 3");      /* a cut tail: against the head */
    assert_int_equal(audit_verify(s->f.st, s->keys, &head), OK);
    assert_int_equal(head.broken_at, 0);
    assert_string_not_equal(head.mac, before);
}

#define T(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(key_file), T(cookies), T(spans), T(clock_set_back),
        T(life_of_a_session), T(at_most_so_many), T(ends_with_what_opened_it), T(three_cards),
        T(secrets_open_and_are_not_stored), T(rights), T(audit_chain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
