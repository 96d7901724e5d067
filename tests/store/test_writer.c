/* SPDX-License-Identifier: MIT
 * The writer: one commit for many, a savepoint each, what happens when the commit itself fails, and
 * that stopping loses nothing that was taken. */
#include "store/writer.h"

#include <pthread.h>
#include <semaphore.h>
#include <stdatomic.h>
#include <string.h>

#include "base/mem.h"
#include "fixture.h"
#include "store/store_internal.h"
#include "t.h"

enum { JOBS = 600 };

struct work {
    struct writer_job job;
    int day;
    enum err answer;            /* what fn returns after its insert */
    enum err result;
    _Atomic int done_calls;
    bool seen_by_others;        /* at done(): is the row committed? */
    const struct fixture *f;
    sem_t *gate;                /* fn waits here: the queue fills behind it */
    void (*after)(struct store *st);
};

static struct work works[JOBS];
static _Atomic int commits, wakes;

static int on_commit(void *arg)
{
    (void)arg;
    atomic_fetch_add(&commits, 1);
    return 0;
}

static enum err insert_day(struct store *st, void *arg)
{
    struct work *w = arg;
    sqlite3_commit_hook(st->db, on_commit, NULL);
    if (w->gate) {
        sem_wait(w->gate);
    }
    char sql[64];
    snprintf(sql, sizeof sql, "INSERT INTO closed_day VALUES (%d)", w->day);
    assert_int_equal(sqlite3_exec(st->db, sql, NULL, NULL, NULL), SQLITE_OK);
    if (w->after) {
        w->after(st);
    }
    return w->answer;
}

static void note(void *arg, enum err result)
{
    struct work *w = arg;
    w->result = result;
    if (w->f) {
        char sql[80];
        snprintf(sql, sizeof sql, "SELECT count(*) FROM closed_day WHERE day = %d", w->day);
        w->seen_by_others = fixture_int(w->f, sql) == 1;
    }
    atomic_fetch_add(&w->done_calls, 1);
}

static void wake(void *key)
{
    assert_non_null(key);
    atomic_fetch_add(&wakes, 1);
}

static struct writer *begin(struct fixture *f)
{
    fixture_school(f);
    store_close(f->st);
    f->st = NULL;
    memset(works, 0, sizeof works);
    atomic_store(&commits, 0);
    atomic_store(&wakes, 0);
    struct writer *w = NULL;
    const char *why = "";
    if (writer_start(f->mem, f->dir, &w, &why) != OK) {
        fail_msg("%s", why);
    }
    return w;
}

static struct work *prepare(int i, int day)
{
    struct work *w = &works[i];
    *w = (struct work){.day = day, .result = ERR_COUNT};
    w->job = (struct writer_job){.fn = insert_day, .done = note, .arg = w};
    return w;
}

/* 600 jobs queued behind a first one that waits: the rest needs two commits, not 600. */
static void many_jobs_share_a_commit(void **state)
{
    (void)state;
    struct fixture f;
    struct writer *writer = begin(&f);
    sem_t gate;
    sem_init(&gate, 0, 0);
    int loops[2];
    for (int i = 0; i < JOBS; i++) {
        struct work *w = prepare(i, 1000 + i);
        w->gate = i == 0 ? &gate : NULL;
        w->job.group_done = wake;
        w->job.group_key = &loops[i % 2];
        assert_true(writer_submit(writer, &w->job));
    }
    sem_post(&gate);
    writer_stop(writer);
    for (int i = 0; i < JOBS; i++) {
        assert_int_equal(works[i].result, OK);
        assert_int_equal(works[i].done_calls, 1);
    }
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day"), JOBS);
    /* The first group may have held one job or up to 512; the rest at most 512 each. */
    assert_in_range(atomic_load(&commits), 2, 3);
    assert_in_range(atomic_load(&wakes), 3, 6);
    sem_destroy(&gate);
    fixture_close(&f);
}

static void a_failing_job_fails_alone(void **state)
{
    (void)state;
    struct fixture f;
    struct writer *writer = begin(&f);
    sem_t gate;
    sem_init(&gate, 0, 0);
    for (int i = 0; i < 30; i++) {
        struct work *w = prepare(i, 1000 + i);
        w->gate = i == 0 ? &gate : NULL;
        w->answer = i % 3 == 1 ? ERR_CONFLICT : OK;
        assert_true(writer_submit(writer, &w->job));
    }
    sem_post(&gate);
    writer_stop(writer);
    for (int i = 0; i < 30; i++) {
        assert_int_equal(works[i].result, works[i].answer);
        assert_int_equal(works[i].done_calls, 1);
    }
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day"), 20);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day WHERE (day - 1000) % 3 = 1"), 0);
    sem_destroy(&gate);
    fixture_close(&f);
}

static void done_comes_after_the_commit(void **state)
{
    (void)state;
    struct fixture f;
    struct writer *writer = begin(&f);
    for (int i = 0; i < 5; i++) {
        struct work *w = prepare(i, 1000 + i);
        w->f = &f;
        assert_true(writer_submit(writer, &w->job));
    }
    writer_stop(writer);
    for (int i = 0; i < 5; i++) {
        assert_true(works[i].seen_by_others);
    }
    fixture_close(&f);
}

static int refuse_commit(void *arg)
{
    (void)arg;
    return 1;       /* SQLite turns the COMMIT into a ROLLBACK: SQLITE_CONSTRAINT_COMMITHOOK */
}

static void forbid(struct store *st)
{
    sqlite3_commit_hook(st->db, refuse_commit, NULL);
}

/* The commit of a group fails: every job of it is told, nothing is stored, and the next group is
 * none the worse. */
static void a_failing_commit_fails_all(void **state)
{
    (void)state;
    struct fixture f;
    struct writer *writer = begin(&f);
    sem_t gate;
    sem_init(&gate, 0, 0);
    struct work *first = prepare(0, 999);
    first->gate = &gate;
    assert_true(writer_submit(writer, &first->job));
    for (int i = 1; i <= 10; i++) {
        struct work *w = prepare(i, 1000 + i);
        w->answer = i == 4 ? ERR_BAD_INPUT : OK;
        w->after = i == 10 ? forbid : NULL;
        assert_true(writer_submit(writer, &w->job));
    }
    sem_post(&gate);
    while (atomic_load(&works[10].done_calls) == 0) {
        sched_yield();
    }
    struct work *next = prepare(20, 2000);
    assert_true(writer_submit(writer, &next->job));
    writer_stop(writer);
    for (int i = 1; i <= 10; i++) {
        assert_int_equal(works[i].result, ERR_STORE);
        assert_int_equal(works[i].done_calls, 1);
    }
    assert_int_equal(next->result, OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day WHERE day BETWEEN 1001 AND 1010"), 0);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day WHERE day = 2000"), 1);
    sem_destroy(&gate);
    fixture_close(&f);
}

static void fill_up(struct store *st)
{
    int64_t pages = 0, v;
    assert_int_equal(db_int(st->db, "PRAGMA page_count", &pages), OK);
    char sql[64];
    snprintf(sql, sizeof sql, "PRAGMA max_page_count = %d", (int)pages);
    assert_int_equal(db_int(st->db, sql, &v), OK);
}

static enum err fill_and_insert(struct store *st, void *arg)
{
    struct work *w = arg;
    fill_up(st);
    int rc = sqlite3_exec(st->db, "WITH n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < "
                                  "5000) INSERT INTO closed_day SELECT 100000 + i FROM n",
                          NULL, NULL, NULL);
    sqlite3_exec(st->db, "PRAGMA max_page_count = 1000000", NULL, NULL, NULL);
    w->answer = store_err(st->db, rc, "fill");
    return w->answer;
}

/* A full disk (SQLITE_FULL by a page limit): 507 for whom it hit, nothing by half, room again after. */
static void a_full_disk_is_told(void **state)
{
    (void)state;
    struct fixture f;
    struct writer *writer = begin(&f);
    struct work *big = prepare(0, 1);
    big->job.fn = fill_and_insert;
    assert_true(writer_submit(writer, &big->job));
    struct work *small = prepare(1, 3000);
    while (atomic_load(&big->done_calls) == 0) {
        sched_yield();
    }
    assert_true(writer_submit(writer, &small->job));
    writer_stop(writer);
    assert_int_equal(big->result, ERR_STORE_FULL);
    assert_int_equal(small->result, OK);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day"), 1);
    fixture_close(&f);
}

static void *submit_late(void *arg)
{
    struct writer *w = arg;
    struct writer_job job = {.fn = insert_day, .done = note, .arg = NULL};
    while (writer_submit(w, &job)) {
        fail();     /* not reached: the writer is closing */
    }
    return NULL;
}

/* Everything taken before stop is committed and told; stop with nothing queued ends at once. */
static void stop_drains(void **state)
{
    (void)state;
    struct fixture f;
    struct writer *writer = begin(&f);
    writer_stop(writer);
    fixture_close(&f);

    writer = begin(&f);
    int taken = 0;
    for (int i = 0; i < JOBS; i++) {
        taken += writer_submit(writer, &prepare(i, 5000 + i)->job);
    }
    writer_stop(writer);
    assert_int_equal(taken, JOBS);
    for (int i = 0; i < JOBS; i++) {
        assert_int_equal(works[i].result, OK);
        assert_int_equal(works[i].done_calls, 1);
    }
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day"), JOBS);
    fixture_close(&f);
    writer_stop(NULL);
}

static struct writer *closing;

static void stop_from_inside(struct store *st)
{
    (void)st;
    pthread_t t;
    /* By now the main thread is in writer_stop (it closed the queue before it joined). */
    pthread_create(&t, NULL, submit_late, closing);
    pthread_join(t, NULL);
}

static void a_closing_writer_takes_nothing(void **state)
{
    (void)state;
    struct fixture f;
    struct writer *writer = begin(&f);
    closing = writer;
    sem_t gate;
    sem_init(&gate, 0, 0);
    struct work *w = prepare(0, 1000);
    w->gate = &gate;
    w->after = stop_from_inside;
    assert_true(writer_submit(writer, &w->job));
    pthread_t stopper;
    pthread_create(&stopper, NULL, (void *(*)(void *))(void (*)(void))writer_stop, writer);
    struct timespec pause = {0, 200000000};
    nanosleep(&pause, NULL);
    sem_post(&gate);
    pthread_join(stopper, NULL);
    assert_int_equal(w->result, OK);
    sem_destroy(&gate);
    fixture_close(&f);
}

/* A queue has an end: then nothing is taken, and what was taken is done. */
static void the_queue_has_a_limit(void **state)
{
    (void)state;
    struct fixture f;
    struct writer *writer = begin(&f);
    sem_t gate;
    sem_init(&gate, 0, 0);
    struct work *first = prepare(0, 1000);
    first->gate = &gate;
    assert_true(writer_submit(writer, &first->job));
    enum { MANY = 20000 };
    struct work *many = mem_array(f.mem, struct work, MANY);
    int taken = 0;
    for (int i = 0; i < MANY; i++) {
        many[i] = (struct work){.day = 10000 + i, .result = ERR_COUNT};
        many[i].job = (struct writer_job){.fn = insert_day, .done = note, .arg = &many[i]};
        taken += writer_submit(writer, &many[i].job);
    }
    sem_post(&gate);
    writer_stop(writer);
    assert_true(taken > 4000 && taken < MANY);
    int done = 0;
    for (int i = 0; i < MANY; i++) {
        done += many[i].done_calls;
    }
    assert_int_equal(done, taken);
    assert_int_equal(fixture_int(&f, "SELECT count(*) FROM closed_day"), taken + 1);
    sem_destroy(&gate);
    fixture_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(many_jobs_share_a_commit),
        cmocka_unit_test(a_failing_job_fails_alone),
        cmocka_unit_test(done_comes_after_the_commit),
        cmocka_unit_test(a_failing_commit_fails_all),
        cmocka_unit_test(a_full_disk_is_told),
        cmocka_unit_test(stop_drains),
        cmocka_unit_test(a_closing_writer_takes_nothing),
        cmocka_unit_test(the_queue_has_a_limit),
    };
    return cmocka_run_group_tests_name("writer", tests, NULL, NULL);
}
