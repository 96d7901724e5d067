/* SPDX-License-Identifier: MIT
 * The threads that hash passphrases. Numbers: our own rule. */
#include "t.h"

#include <unistd.h>

#include "auth/kdf.h"

static void count_job(void *arg)
{
    __atomic_add_fetch((int *)arg, 1, __ATOMIC_SEQ_CST);
}

static void slow_job(void *arg)
{
    (void)arg;
    usleep(20000);
}

/* Two run, sixteen wait, the rest is refused; what was taken is done, also while stopping. */
static void hashing_pool(void **state)
{
    struct kdf_pool *p;
    int done = 0, taken = 0;
    (void)state;
    assert_int_equal(kdf_start(NULL, &p), OK);
    for (int i = 0; i < 100; i++) {
        taken += kdf_submit(p, KDF_KNOWN, slow_job, count_job, &done);
    }
    assert_in_range(taken, KDF_QUEUE, KDF_QUEUE + KDF_THREADS);
    kdf_stop(p);
    assert_int_equal(done, taken);
    kdf_stop(NULL);
}

struct order {
    int strangers;      /* done */
    int before;         /* strangers done when the known one was; -1: not yet */
};

static void stranger_done(void *arg)
{
    struct order *o = arg;
    __atomic_add_fetch(&o->strangers, 1, __ATOMIC_SEQ_CST);
}

static void known_done(void *arg)
{
    struct order *o = arg;
    o->before = __atomic_load_n(&o->strangers, __ATOMIC_SEQ_CST);
}

/* A flood of strangers: one runs, sixteen wait; somebody known never waits behind them. */
static void strangers_wait(void **state)
{
    struct kdf_pool *p;
    struct order o = {.before = -1};
    int taken = 0;
    (void)state;
    assert_int_equal(kdf_start(NULL, &p), OK);
    for (int i = 0; i < 100; i++) {
        taken += kdf_submit(p, KDF_STRANGER, slow_job, stranger_done, &o);
    }
    assert_in_range(taken, KDF_QUEUE, KDF_QUEUE + 1);
    assert_true(kdf_submit(p, KDF_KNOWN, slow_job, known_done, &o));
    kdf_stop(p);
    assert_int_equal(o.strangers, taken);
    assert_in_range(o.before, 0, KDF_QUEUE / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hashing_pool),
        cmocka_unit_test(strangers_wait),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
