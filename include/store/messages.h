/* SPDX-License-Identifier: MIT
 * A pupil's private message of fixed choices. Off for a class until two named readers are set.
 * Seen by staff who teach the child's home class and by safeguarding, as two persons agreed
 * (store/changes.h), and by nobody else: no count,
 * list, export or other statement of the program reads this table outside messages.c, but for the
 * safeguarding part of a data copy. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"
#include "base/ids.h"
#include "store/school.h"
#include "store/store.h"

/* What a pupil's page says before anything is sent. */
struct message_hours {
    bool on;                    /* messages are on for the child's class */
    bool known;                 /* a term is known; without one nobody can say whether it is open */
    bool school_open;           /* a school day, within school hours, right now */
    bool has_opens_again;       /* false while open, and when no term is known */
    int32_t opens_again_day;
};

struct message_new {
    struct pupil_id pupil;
    const char *about;          /* hurt | unsafe | talk */
    const char *body_part;      /* NULL unless hurt */
    int still;                  /* -1 not said; only with hurt */
    int64_t now;
};

struct message_row {
    struct message_id id;
    struct pupil_id pupil;
    const char *pupil_name;
    struct class_id class_id;   /* home class today; .v 0 for a leaver */
    const char *class_name;
    const char *about, *body_part;
    int still;                  /* -1 not said */
    int64_t raised_at;
    bool overdue;
    bool acknowledged;
    const char *ack_by;         /* name of the member of staff */
    int64_t ack_at;
    const char *ack_outcome;
};

/* Whose list: the classes `staff` teaches; for safeguarding every class. */
struct message_reader { struct staff_id staff; int64_t now; };

extern const struct stmt_set messages_stmts;

enum err messages_for_pupil(struct store *st, struct pupil_id pupil, int64_t now,
                            struct message_hours *out) MUST_USE;
/* ERR_CLOSED when messages are off for the child's class. */
enum err message_raise(struct store *st, const struct message_new *m, struct message_id *out)
    MUST_USE;
/* Not acknowledged first, then those of the last 30 days; oldest first among the waiting. */
enum err messages_list(struct store *st, void *ctx, const struct message_reader *who,
                       struct message_row **out, size_t *n) MUST_USE;
/* May this person read messages of any class today? */
enum err messages_reads_any(struct store *st, const struct message_reader *who, bool *out)
    MUST_USE;
/* What is closed to somebody who teaches or holds safeguarding: all of a class's messages until a
 * second person agrees, or those from before. By class; all classes first. */
struct message_limit {
    struct class_id class_id;   /* .v 0: all classes */
    const char *class_name;
    bool reads;                 /* only what was sent before `since` is closed */
    int64_t since;
};
enum err messages_limits(struct store *st, void *ctx, const struct message_reader *who,
                         struct message_limit **out, size_t *n) MUST_USE;
/* How many wait for this reader. */
enum err messages_waiting(struct store *st, const struct message_reader *who, int64_t *out)
    MUST_USE;
/* May this reader see this message? (Scope check of the acknowledgement.) */
enum err message_may_see(struct store *st, struct message_id id, const struct message_reader *who,
                         bool *out) MUST_USE;
/* One message as the reader sees it. ERR_NOT_FOUND also when it is not this reader's. */
enum err message_get(struct store *st, void *ctx, struct message_id id,
                     const struct message_reader *who, struct message_row *out) MUST_USE;
/* ERR_CONFLICT when somebody did already. */
enum err message_acknowledge(struct store *st, struct message_id id, struct staff_id by,
                             const char *outcome, int64_t now) MUST_USE;
/* When a message not acknowledged becomes overdue: one school day after it was raised. */
int64_t message_due_at(const struct calendar *c, int64_t raised_at);
/* School hours, for "is school open now": 08:00 to 16:00 on a school day. */
bool calendar_open_now(const struct calendar *c, int64_t now);
