/* SPDX-License-Identifier: MIT
 * Rows of hand-ins between the database and memory. Words of the database become the literals of
 * hand_ins.c, so a struct hand_in borrows nothing from a statement. */
#include <stdio.h>
#include <string.h>

#include "hand_ins_internal.h"
#include "store/activities.h"

enum {
    C_SEQ, C_ID, C_PUPIL, C_CHALLENGE, C_VERSION, C_CHANNEL, C_ENTERED_BY, C_RECEIVED_AT,
    C_DONE_DAY, C_AFTER_DATE, C_COULD_NOT, C_BEST, C_BEST_DISTANCE, C_FELT, C_TARGET, C_KIT,
    C_PLACE, C_COUNTED_BY, C_CONFIRMED, C_SURPRISING, C_HASH, C_LAST_MARK, C_ACTIVITY, C_REVISION,
    C_UNIT, C_VERSION_KIND, C_LOWER
};

enum hand_in_state hand_in_state_of(const char *last_mark, bool surprising)
{
    if (!last_mark) {
        return surprising ? HAND_IN_TO_CHECK : HAND_IN_COUNTS;
    }
    if (strcmp(last_mark, "keep") == 0) {
        return HAND_IN_COUNTS;
    }
    return strcmp(last_mark, "mistake") == 0 ? HAND_IN_TO_CHECK : HAND_IN_SET_ASIDE;
}

/* The column's bytes, NUL-terminated for as long as the row stands. */
static const char *word_at(struct query *q, int i, char *room, size_t size)
{
    size_t n = 0;
    const void *p = col_blob(q, i, &n);
    if (!p || n == 0 || n >= size) {
        return NULL;
    }
    memcpy(room, p, n);
    room[n] = '\0';
    return room;
}

static const char *literal_at(struct query *q, int i, const char *const words[])
{
    char room[24];
    return hand_in_word(words, word_at(q, i, room, sizeof room));
}

static void copy_blob(struct query *q, int i, uint8_t *to, size_t size)
{
    size_t n = 0;
    const void *p = col_blob(q, i, &n);
    if (p && n == size) {
        memcpy(to, p, size);
    }
}

void hand_in_read_row(struct query *q, struct hand_in *h)
{
    *h = (struct hand_in){
        .seq = col_int(q, C_SEQ),
        .pupil = {col_int(q, C_PUPIL)},
        .challenge = {col_int(q, C_CHALLENGE)},
        .version = {col_int(q, C_VERSION)},
        .channel = literal_at(q, C_CHANNEL, hand_in_channel_words),
        .entered_by = {col_int(q, C_ENTERED_BY)},
        .received_at = col_int(q, C_RECEIVED_AT),
        .done_day = (int32_t)col_int(q, C_DONE_DAY),
        .after_date = col_int(q, C_AFTER_DATE) != 0,
        .could_not = literal_at(q, C_COULD_NOT, hand_in_could_not_words),
        .has_best = !col_null(q, C_BEST),
        .best = col_int(q, C_BEST),
        .best_distance_mm = (int32_t)col_int(q, C_BEST_DISTANCE),
        .felt = literal_at(q, C_FELT, hand_in_felt_words),
        .target = col_int(q, C_TARGET),
        .kit = col_int(q, C_KIT),
        .place = literal_at(q, C_PLACE, hand_in_place_words),
        .counted_by = literal_at(q, C_COUNTED_BY, hand_in_counted_words),
        .confirmed = col_int(q, C_CONFIRMED) != 0,
        .surprising = col_int(q, C_SURPRISING) != 0,
        .activity = {col_int(q, C_ACTIVITY)},
        .revision = {col_int(q, C_REVISION)},
        .unit = {col_int(q, C_UNIT)},
        .lower_is_better = col_int(q, C_LOWER) != 0,
    };
    copy_blob(q, C_ID, h->id.b, sizeof h->id.b);
    copy_blob(q, C_HASH, h->content_hash, HAND_IN_HASH);
    char room[24];
    h->state = hand_in_state_of(word_at(q, C_LAST_MARK, room, sizeof room), h->surprising);
    const char *kind = word_at(q, C_VERSION_KIND, room, sizeof room);
    int k = kind ? version_kind_of(kind) : -1;
    h->version_kind = version_kind_word(k < 0 ? VERSION_STANDARD : (enum version_kind)k);
}

void hand_in_throws_print(const struct hand_in_attempt *a, char out[HAND_IN_THROWS * 4 + 3])
{
    enum { SIZE = HAND_IN_THROWS * 4 + 3 };
    size_t n = 0;
    out[n++] = '[';
    for (int i = 0; i < a->throw_count && i < HAND_IN_THROWS; i++) {
        n += (size_t)snprintf(out + n, SIZE - n, i > 0 ? ",%u" : "%u", (unsigned)a->throws[i]);
    }
    out[n++] = ']';
    out[n] = '\0';
}

void hand_in_throws_read(const char *text, size_t n, struct hand_in_attempt *a)
{
    a->throw_count = 0;
    unsigned value = 0;
    bool digits = false;
    for (size_t i = 0; text && i < n && a->throw_count < HAND_IN_THROWS; i++) {
        if (text[i] >= '0' && text[i] <= '9') {
            value = value * 10 + (unsigned)(text[i] - '0');
            digits = true;
        } else if (digits) {
            a->throws[a->throw_count++] = (uint8_t)value;
            value = 0;
            digits = false;
        }
    }
}
