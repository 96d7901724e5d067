/* SPDX-License-Identifier: MIT
 * Changes by which somebody gains a way to read children's messages, or to accept such a change:
 * one person asks, a second accepts within seven days. The second holds `office` or `safeguarding`
 * to which two persons have agreed, and is neither who asked nor whom it concerns.
 *
 * The rule holds from the moment on when the school has a second such person. Before, a holder of
 * `safeguarding` makes the first one alone, and while no third account exists gives anything. On
 * the command line (by.v 0) it is done at once and kept for all staff to see. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/store.h"

extern const struct stmt_set changes_stmts, changes_view_stmts;

enum { CHANGE_LAPSES_DAYS = 7, CHANGE_SHOWN_DAYS = 14 };

enum change_kind {
    CHANGE_SAFEGUARDING,    /* the right; not held until accepted */
    CHANGE_OFFICE,          /* held at once, but accepts nothing until accepted */
    CHANGE_TEACH,           /* held at once, but reads no message until accepted */
    CHANGE_RESET,           /* a passphrase issued to an account that reads or accepts */
    CHANGE_ENABLED,         /* such an account, disabled, let in again */
    CHANGE_OLDER,           /* messages from before the right; no class: of all classes */
    CHANGE_KINDS
};
const char *change_kind_word(enum change_kind k);
bool change_kind_parse(const char *word, enum change_kind *out);

struct change_ask {
    enum change_kind kind;
    struct staff_id of;             /* whom it concerns */
    struct class_id in;             /* CHANGE_TEACH; CHANGE_OLDER; else .v 0 */
    struct staff_id by;             /* .v 0: the command line */
    int64_t now;
};

enum change_asked { CHANGE_NOT_NEEDED, CHANGE_AT_ONCE, CHANGE_WAITS };

/* After the right was put, the passphrase set, the account enabled: asks a second person, or does
 * it at once where the rule says so. CHANGE_NOT_NEEDED: nothing about messages changes by it. The
 * same thing waiting already stays as it is, unless it was asked by one who cannot ask. */
enum err change_ask(struct store *st, const struct change_ask *a, enum change_asked *out) MUST_USE;
/* What waits about this person and no longer is so (a right taken away) is withdrawn. */
enum err changes_tidy(struct store *st, struct staff_id of, struct staff_id by, int64_t now)
    MUST_USE;
/* The request for `safeguarding` that waits for this person, if any, is withdrawn. */
enum err change_withdraw_safeguarding(struct store *st, const struct change_ask *a) MUST_USE;
/* All that this account holds is agreed to, older messages too, without a trace: for the first
 * account of a school and for the demo. */
enum err change_settle(struct store *st, struct staff_id of, int64_t now) MUST_USE;
/* The command line agrees to what is not agreed to or waits about this person: to one kind, or with
 * CHANGE_KINDS to all. CHANGE_RESET: its passphrase was just set. Older messages are opened. Each
 * is kept, for all staff to see, but what the rule does not hold for yet. */
struct change_done { enum change_kind kind; struct class_id in; bool kept; };
enum err change_machine(struct store *st, void *ctx, const struct change_ask *a,
                        struct change_done **out, size_t *n) MUST_USE;

enum change_state {
    CHANGE_WAITING, CHANGE_LAPSED, CHANGE_ACCEPTED, CHANGE_DECLINED, CHANGE_WITHDRAWN,
    CHANGE_BY_MACHINE
};

struct change_row {
    int64_t id;
    enum change_kind kind;
    enum change_state state;
    struct staff_id of, by, decided_by;     /* .v 0: the command line, nobody yet */
    const char *of_name, *by_name, *decided_name;
    struct class_id in;                     /* .v 0: none */
    const char *class_name;
    bool has_until, older;
    int32_t until_day;
    int64_t asked_at, lapses_at, decided_at;
    bool signed_in;     /* who it concerns has chosen a passphrase of their own */
    bool disabled;      /* the account it concerns */
    bool asker_counts;  /* who asked may accept changes themselves */
};

/* What happened within the last CHANGE_SHOWN_DAYS, newest first. */
enum err changes_list(struct store *st, void *ctx, int64_t now, struct change_row **out, size_t *n)
    MUST_USE;
enum err change_get(struct store *st, void *ctx, int64_t id, int64_t now, struct change_row *out)
    MUST_USE;

/* Why somebody may not accept: NULL when they may, else a code for the person ("over", "own",
 * "asked_by_you", "not_agreed", "asker", "account_disabled", "not_signed_in"). */
enum err change_refusal(struct store *st, const struct change_row *c, struct staff_id by,
                        const char **code) MUST_USE;
/* The caller has asked change_refusal(). `older`: messages from before as well. ERR_CONFLICT: the
 * right is no longer there. */
struct change_decision { struct staff_id by; bool older; int64_t now; };
enum err change_accept(struct store *st, const struct change_row *c,
                       const struct change_decision *d) MUST_USE;
/* Declined, or withdrawn when it is who asked. */
enum err change_decline(struct store *st, const struct change_row *c,
                        const struct change_decision *d) MUST_USE;

/* Those who may accept `c` by name; none: as it stands, the command line is the only way left. */
struct change_person { struct staff_id id; const char *name; };
enum err change_second_persons(struct store *st, void *ctx, const struct change_row *c,
                               struct change_person **out, size_t *n) MUST_USE;

/* Who reads messages, or could if a second person agreed; and who may accept. */
struct change_holder {
    struct staff_id staff;
    const char *name;
    enum change_kind right;         /* CHANGE_SAFEGUARDING, CHANGE_OFFICE, CHANGE_TEACH */
    struct class_id in;
    const char *class_name;
    bool agreed;                    /* to the right, today */
    bool sure;                      /* to the account */
    int64_t agreed_at, opened_at;   /* 0: not */
};
enum err change_holders(struct store *st, void *ctx, int32_t today, struct change_holder **out,
                        size_t *n) MUST_USE;
