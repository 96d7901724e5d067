/* SPDX-License-Identifier: MIT
 * The demo's school, staff, classes, pupils and cards, each made as the program makes real ones.
 * Cards are made as of the current week and school year, because family cards end on 31 August. */
#include "demo_internal.h"

#include <string.h>

#include "auth/audit.h"
#include "auth/cards.h"
#include "base/clock.h"
#include "base/mem.h"
#include "base/text.h"
#include "base/who.h"
#include "store/cards.h"
#include "store/changes.h"
#include "store/classes.h"
#include "store/pupils.h"
#include "store/school.h"
#include "store/staff.h"

static const struct {
    const char *name;
    int low, high;              /* year groups */
} class_plan[DEMO_CLASSES] = {
    {"Acorn", 1, 2}, {"Beech", 3, 3}, {"Cedar", 4, 4}, {"Damson", 5, 6},
    {"Lunchtime catchers", 0, 0},
};

static const struct {
    const char *name;
    unsigned rights;
    unsigned teaches;           /* bit i: class i */
    unsigned others;            /* classes of the right below */
    enum class_right right;
} staff_plan[DEMO_STAFF] = {
    [STAFF_LEAD] = {"Imani Okparand", ALLOW_PE_LEAD | ALLOW_SAFEGUARDING | ALLOW_OFFICE, 31, 0, 0},
    [STAFF_TEACHER] = {"Rafe Tindlewick", 0, 3, 0, 0},
    [STAFF_HELPER] = {"Suvi Harkanen", 0, 0, 4, CLASS_HELP},
    [STAFF_READER] = {"Dewi Marchettin", 0, 0, 8, CLASS_READ},
    [STAFF_OFFICE] = {"Petra Nwosulund", ALLOW_OFFICE, 0, 0, 0},
    [STAFF_GUARD] = {"Tomasz Quillfeather", ALLOW_SAFEGUARDING, 0, 0, 0},
    [STAFF_PE] = {"Leila Fairbrook", ALLOW_PE_LEAD, 0, 0, 0},
};

static enum err make_school(struct demo *d, int64_t at)
{
    const struct school s = {
        .name = demo_school_name,
        .time_zone = "Europe/London",
        /* a number set apart for invention */
        .away_phone = "Tell a grown-up at home. Or ring us on 01632 960123.",
        .safeguarding_contact = "Tomasz Quillfeather, school office, 01632 960124",
        .dpia_done = true,
        .dpia_done_day = d->monday + FIRST_START - 30,
        .created_at = at,
    };
    const struct term terms[] = {
        {"First term", d->monday + FIRST_START, d->monday + FIRST_END},
        {"Second term", d->monday + SECOND_START, d->monday + SECOND_END},
        {"Third term", d->monday + THIRD_START, d->monday + THIRD_END},
    };
    static const struct band_words words = {
        3, {"working towards the aim", "met the aim", "beyond the aim"}};
    int32_t closed[10];
    for (int i = 0; i < 5; i++) {
        closed[i] = d->monday - 133 + i;
        closed[5 + i] = d->monday - 35 + i;
    }
    enum err e = school_make(d->st, &s);
    if (e == OK) {
        e = school_terms_put(d->st, terms, 3);
    }
    if (e == OK) {
        e = school_closed_days_put(d->st, closed, 10);
    }
    return e == OK ? school_band_words_put(d->st, &words) : e;
}

static enum err make_classes(struct demo *d, int64_t at)
{
    enum err e = OK;
    for (int i = 0; e == OK && i < DEMO_CLASSES; i++) {
        d->classes[i].name = class_plan[i].name;
        e = class_make(d->st, class_plan[i].name, i == DEMO_GROUP, at, &d->classes[i].id);
    }
    return e;
}

static enum err give_rights(struct demo *d, int i)
{
    int32_t until = d->monday + 28;
    enum err e = staff_set_rights(d->st, d->staff[i].id, staff_plan[i].rights);
    for (int c = 0; e == OK && c < DEMO_CLASSES; c++) {
        if (staff_plan[i].teaches & 1u << c) {
            e = class_right_put(d->st, d->classes[c].id, d->staff[i].id, CLASS_TEACH, NULL);
        } else if (staff_plan[i].others & 1u << c) {
            e = class_right_put(d->st, d->classes[c].id, d->staff[i].id, staff_plan[i].right,
                                i == STAFF_HELPER ? &until : NULL);
        }
    }
    return e == OK ? change_settle(d->st, d->staff[i].id, d->now) : e;
}

static enum err make_staff(struct demo *d, int64_t at)
{
    enum err e = OK;
    for (int i = 0; e == OK && i < DEMO_STAFF; i++) {
        struct demo_staff *s = &d->staff[i];
        char hash[PASSPHRASE_HASH];
        s->name = staff_plan[i].name;
        s->id.v = store_id_new();
        passphrase_words(s->passphrase);
        e = passphrase_hash(s->passphrase, strlen(s->passphrase), hash);
        if (e == OK) {
            const struct staff_new n = {.id = s->id, .name = s->name, .hash = hash, .now = at,
                                        .name_key = text_fold(d->mem, s->name)};
            e = staff_put(d->st, &n);
        }
        if (e == OK) {
            e = give_rights(d, i);
        }
    }
    return e;
}

/* What nobody but the demo knows: how a child does. */
static void make_up(struct demo_pupil *p, int i)
{
    double general = demo_normal();
    for (int a = 0; a < STARTER_COUNT; a++) {
        p->skill[a] = 0.6 * general + 0.8 * demo_normal() + 0.22 * (p->year - 3.5);
    }
    p->learns = 0.4 + demo_unit();
    p->sends = 0.6 + 0.38 * demo_unit();
    p->likes = i % 14 == 9 ? VERSION_SEATED : i % 9 == 4 ? VERSION_QUIET
             : i % 23 == 7 ? VERSION_NO_KIT : VERSION_STANDARD;
}

static enum err make_pupils(struct demo *d, int64_t at)
{
    enum err e = OK;
    int grouped = 0;
    for (int i = 0; e == OK && i < DEMO_PUPILS; i++) {
        struct demo_pupil *p = &d->pupils[i];
        p->cls = i / DEMO_A_CLASS;
        p->name = demo_names[(i * 37) % DEMO_PUPILS];       /* 37 and 112 share no factor */
        p->year = i % DEMO_A_CLASS < DEMO_A_CLASS / 2 ? class_plan[p->cls].low
                                                      : class_plan[p->cls].high;
        make_up(p, i);
        const struct pupil_new n = {.display_name = p->name, .year_group = p->year,
                                    .in = d->classes[p->cls].id,
                                    .from_day = d->monday + FIRST_START, .now = at};
        e = pupil_make(d->st, &n, &p->id);
        p->in_group = p->cls >= 2 && i % 4 == 1 && grouped < DEMO_IN_GROUP;
        if (e == OK && p->in_group) {
            grouped++;
            e = pupil_join(d->st, p->id, d->classes[DEMO_GROUP].id, d->monday + SECOND_START);
        }
    }
    return e;
}

/* Cards --------------------------------------------------------------------------------------- */

static enum err make_card(struct demo *d, const struct demo_pupil *p, enum card_holder holder,
                          struct card_made *out)
{
    char object[48];
    const struct card_order o = {.keys = d->keys, .origin = "http://127.0.0.1:8080", .pupil = p->id,
                                 .holder = holder, .by = d->staff[STAFF_LEAD].id,
                                 .now = holder == CARD_FOR_FAMILY ? d->families_at : d->now};
    enum err e = card_make(d->st, d->mem, &o, out);
    if (e != OK) {
        return e;
    }
    audit_object("pupil", p->id.v, object);
    return audit_add(d->st, d->keys, d->now, "office box", "card made", object,
                     card_holder_word(holder));
}

/* Every child has a card; some a second home's too, and of those one is lost and cancelled. */
static enum err make_pupil_cards(struct demo *d)
{
    struct card_made made;
    enum err e = OK;
    for (int i = 0; e == OK && i < DEMO_PUPILS; i++) {
        struct demo_pupil *p = &d->pupils[i];
        e = make_card(d, p, CARD_FOR_PUPIL, &made);
        if (e == OK) {
            memcpy(p->code, made.code, sizeof p->code);
            p->card = made.id;
        }
        if (e == OK && i % 19 == 5) {
            e = make_card(d, p, CARD_FOR_PUPIL, &made);
        }
        if (e == OK && i == 24) {
            e = card_cancel(d->st, made.id, d->now);
        }
    }
    return e;
}

/* The first two cards are one carer's: two siblings in two classes. */
static enum err make_family_cards(struct demo *d)
{
    static const int whose[DEMO_FAMILIES] = {3, 89, 0, 1, 28, 29, 56, 57, 84, 85, 30, 58};
    struct card_made made;
    enum err e = OK;
    for (int i = 0; e == OK && i < DEMO_FAMILIES; i++) {
        d->families[i].pupil = whose[i];
        e = make_card(d, &d->pupils[whose[i]], CARD_FOR_FAMILY, &made);
        if (e == OK) {
            memcpy(d->families[i].code, made.code, sizeof d->families[i].code);
        }
    }
    if (e == OK) {      /* one child's family page is closed by the safeguarding lead */
        e = pupil_family_view_put(d->st, d->pupils[40].id, FAMILY_OFF, NULL);
    }
    return e;
}

enum err demo_people(struct demo *d)
{
    int64_t at = clock_day_at(d->monday + FIRST_START - 20, 10, 0);
    static enum err (*const steps[])(struct demo *, int64_t) = {
        make_school, make_classes, make_staff, make_pupils,
    };
    enum err e = OK;
    for (size_t i = 0; e == OK && i < sizeof steps / sizeof *steps; i++) {
        e = steps[i](d, at);
    }
    if (e == OK) {
        const struct staff_id readers[] = {d->staff[STAFF_LEAD].id, d->staff[STAFF_GUARD].id};
        const struct reader_set set = {readers, 2};
        size_t bad = 0;
        e = class_readers_put(d->st, d->classes[2].id, d->monday, &set, &bad);
    }
    if (e == OK) {
        e = make_pupil_cards(d);
    }
    return e == OK ? make_family_cards(d) : e;
}
