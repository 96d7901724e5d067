/* SPDX-License-Identifier: MIT
 * `thrice cards CLASS`: new cards for a class as one printable HTML page on standard output.
 *
 * Each child that has no live card of the holder gets one; with --replace everybody does, and what
 * it replaces ends. Further cards of a child (a second home's) stay unless --others remake makes
 * them anew one for one; which were kept or made anew stands on the page and on standard error, and
 * so do the families whose cards the office holds back: none is made for them here. The page stands
 * alone (its style is inside, no script, nothing is fetched), so it can be saved to a memory stick
 * and printed elsewhere. It is the only place where these codes can be read: the database keeps
 * hashes. Nothing is printed unless the cards were stored. */
#include "cmd.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "auth/audit.h"
#include "auth/cards.h"
#include "auth/keys.h"
#include "base/buf.h"
#include "base/clock.h"
#include "base/mem.h"
#include "store/cards.h"
#include "store/classes.h"
#include "store/school.h"
#include "store/store.h"

static const char help[] =
    "thrice cards CLASS [--holder pupil|family] [--replace [--others keep|remake]] --data DIR"
    " >cards.html\n"
    "\n"
    "Makes a new card for each child of the class that has none, and prints one HTML page to cut\n"
    "up. With --replace every child gets a new one and the one it replaces ends. The codes are\n"
    "shown this once. Family cards end on 31 August; those that the office holds back are left\n"
    "out and named.\n"
    "\n"
    "A child may have further cards: for another home, for school. With --replace they are kept\n"
    "and go on working (--others keep, the default), or end and are made anew one for one, each\n"
    "of its own kind (--others remake). Which children that is about is said on the page and on\n"
    "standard error.\n";

struct job {
    void *mem;
    struct store *st;
    struct keys *keys;
    const char *class_name, *origin, *school;
    enum card_holder holder;
    bool replace, others;
    struct card_made *made;
    size_t n, cap;
    struct buf further;         /* by child: the further cards, kept or made anew */
    size_t further_n;
    struct buf held;            /* by child: family cards that do not go home with the class */
    size_t held_n;
    const char *failed;
};

static enum err note(struct job *j, const char *action, const char *kind, int64_t id,
                     const char *code)
{
    char object[48];

    audit_object(kind, id, object);
    return audit_add(j->st, j->keys, clock_now(), "office box", action, object, code);
}

static enum err make_one(struct job *j, const struct card_pupil *p, const char *label)
{
    struct card_order o = {.keys = j->keys, .origin = j->origin, .pupil = p->pupil, .label = label,
                           .holder = j->holder, .now = clock_now()};

    mem_grow(j->mem, j->made, j->n, &j->cap);
    enum err e = card_make(j->st, j->mem, &o, &j->made[j->n]);
    e = e ? e : note(j, "card made", "pupil", p->pupil.v, card_holder_word(j->holder));
    j->n += !e;
    return e;
}

/* "home", "other home": as on the card. */
static void kind_words(struct buf *b, const char *label)
{
    for (const char *c = label; *c; c++) {
        buf_bytes(b, *c == '_' ? " " : c, 1);
    }
}

/* "Sam P (other home, school)", when there are further ones. */
static void note_further(struct job *j, const struct card_pupil *p,
                         const struct card_list_row *rows, size_t n)
{
    if (n == 0) {
        return;
    }
    buf_printf(&j->further, "%s%s (", j->further_n ? "; " : "", p->display_name);
    for (size_t i = 0; i < n; i++) {
        buf_str(&j->further, i ? ", " : "");
        kind_words(&j->further, rows[i].label);
    }
    buf_str(&j->further, ")");
    j->further_n++;
}

static enum err remake(struct job *j, const struct card_pupil *p)
{
    const struct card_again want = {.pupil = p->pupil, .holder = j->holder, .others = j->others,
                                    .now = clock_now()};
    struct card_split split;
    enum err e = cards_split(j->st, j->mem, &want, &split);

    for (size_t i = 0; !e && i < split.again_n; i++) {
        e = card_cancel(j->st, split.again[i].id, clock_now());
        e = e ? e : note(j, "card cancelled", "card", split.again[i].id.v, "replaced");
    }
    for (size_t i = 0; !e && i < split.again_n; i++) {
        e = make_one(j, p, card_label(j->holder, split.again[i].label));
    }
    if (!e && split.again_n == 0) {
        e = make_one(j, p, NULL);
    }
    if (!e && j->others && split.again_n > 1) {
        note_further(j, p, split.again, split.again_n);
    } else if (!e) {
        note_further(j, p, split.kept, split.kept_n);
    }
    return e;
}

static enum err make_tx(struct store *st, void *arg)
{
    struct job *j = arg;
    struct class_id id;
    struct class_row row;
    struct card_pupil *p;
    size_t n;
    enum err e = class_find(st, j->class_name, &id);

    if (e == ERR_NOT_FOUND) {
        j->failed = "there is no class of that name";
    }
    e = e ? e : class_get(st, j->mem, id, clock_day(clock_now()), &row);
    if (!e) {
        j->class_name = row.name;   /* as the school writes it */
    }
    e = e ? e : card_pupils_of_class(st, j->mem, id, clock_now(), &p, &n);
    if (e) {
        return e;
    }
    for (size_t i = 0; !e && i < n; i++) {
        if (!j->replace && p[i].live[j->holder] > 0) {
            continue;
        }
        if (card_held_back(&p[i], j->holder)) {
            buf_printf(&j->held, "%s%s", j->held_n++ ? ", " : "", p[i].display_name);
        } else {
            e = j->replace ? remake(j, &p[i]) : make_one(j, &p[i], NULL);
        }
    }
    if (!e && j->n == 0) {
        j->failed = j->held_n > 0 ? "family cards that are held back are made one by one, on the "
                                    "pupil's page; nobody else of the class needs one"
                                  : "every child of the class has a card already, or the class is "
                                    "empty; --replace makes new ones";
        e = ERR_CONFLICT;
    }
    return e;
}

/* The page ------------------------------------------------------------------------------------- */

static const char style[] =
    "@page{size:A4;margin:10mm}*{box-sizing:border-box}body{margin:0;font:12pt/1.35 sans-serif;"
    "color:#000;background:#fff}header{padding:4mm}ul{list-style:none;margin:0;padding:0;"
    "display:grid;grid-template-columns:1fr 1fr}li{border:1px dashed #000;padding:5mm;"
    "break-inside:avoid;display:grid;grid-template-columns:36mm 1fr;column-gap:5mm}"
    "svg{width:36mm;height:36mm;grid-row:1/6}h2{font-size:15pt;margin:0}p{margin:0}"
    ".code{font:bold 19pt/1.4 monospace;white-space:nowrap}.small{font-size:9pt}"
    "@media print{header{display:none}}";

static void draw_card(struct buf *b, const struct job *j, const struct card_made *c)
{
    html_lit(b, "<li><svg viewBox=\"-4 -4 ");
    buf_printf(b, "%d %d", c->qr.size + 8, c->qr.size + 8);
    html_lit(b, "\" shape-rendering=\"crispEdges\" role=\"img\" aria-label=\"QR code\"><path d=\"");
    buf_str(b, c->qr.path);
    html_lit(b, "\"/></svg><h2>");
    html_txt(b, c->display_name);
    html_lit(b, "</h2><p>");
    html_txt(b, c->class_name);
    html_lit(b, " · ");
    kind_words(b, c->label);
    if (c->holder == CARD_FOR_FAMILY) {
        html_lit(b, " · family card");
    } else {
        html_lit(b, " · picture ");
        buf_int(b, c->picture + 1);
    }
    html_lit(b, "</p><p class=\"code\">");
    html_txt(b, c->code);
    html_lit(b, "</p><p class=\"small\">Go to ");
    html_txt(b, j->origin);
    if (c->holder == CARD_FOR_FAMILY) {
        html_lit(b, "/c</p><p class=\"small\">For one parent or carer. It shows this child's PE at "
                    "home. Lost it? Tell the school office.</p></li>\n");
    } else {
        html_lit(b, "</p><p class=\"small\">Keep it safe. Lost it? Tell your teacher.</p></li>\n");
    }
}

static const char *further_words(const struct job *j)
{
    return j->others ? "children with more than one card, each reissued, the old ones ended"
                     : "further cards, kept and still working (--others remake reissues them)";
}

static const char held_words[] = "held back, and made one by one on the pupil's page";

static void draw_held(struct buf *b, const struct job *j)
{
    if (j->held_n == 0) {
        return;
    }
    html_lit(b, "<p>Also: ");
    html_txt(b, held_words);
    html_lit(b, ": ");
    html_txt(b, j->held.data);
    html_lit(b, ".</p>");
}

static void draw_further(struct buf *b, const struct job *j)
{
    if (j->further_n == 0) {
        return;
    }
    html_lit(b, "<p>Also: ");
    html_txt(b, further_words(j));
    html_lit(b, ": ");
    html_txt(b, j->further.data);
    html_lit(b, ".</p>");
}

static void draw_page(struct buf *b, const struct job *j)
{
    html_lit(b, "<!doctype html>\n<html lang=\"en-GB\"><head><meta charset=\"utf-8\">"
                "<title>Cards: ");
    html_txt(b, j->class_name);
    html_lit(b, "</title><style>");
    buf_str(b, style);
    html_lit(b, "</style></head><body>\n<header><h1>");
    html_txt(b, j->class_name);
    html_lit(b, ": ");
    buf_int(b, (int64_t)j->n);
    html_lit(b, " new cards</h1><p>");
    html_txt(b, j->school);
    html_lit(b, ". Print, cut along the dashed lines, hand out. These codes are shown this once: "
                "print before you close the page, then delete the file.</p>");
    draw_further(b, j);
    draw_held(b, j);
    html_lit(b, "</header>\n<ul>\n");
    for (size_t i = 0; i < j->n; i++) {
        draw_card(b, j, &j->made[i]);
    }
    html_lit(b, "</ul></body></html>\n");
}

static int print_page(const struct job *j)
{
    struct buf b;

    buf_init(&b, j->mem);
    draw_page(&b, j);
    if (fwrite(b.data, 1, b.len, stdout) != b.len || fflush(stdout) != 0) {
        return cmd_fail("cards", "the cards were made but the page could not be written; make new "
                        "ones with --replace%s", j->others ? " --others remake" : "");
    }
    if (j->further_n > 0) {
        fprintf(stderr, "thrice cards: %s: %s\n", further_words(j), j->further.data);
    }
    if (j->held_n > 0) {
        fprintf(stderr, "thrice cards: %s: %s\n", held_words, j->held.data);
    }
    return CMD_DONE;
}

static int run(struct job *j, const char *dir)
{
    const char *why = "";
    struct school s;

    if (cmd_open(j->mem, dir, &j->st, &j->keys, &why) != OK) {
        return cmd_fail("cards", "%s", why);
    }
    if (school_get(j->st, j->mem, &s) != OK) {
        return cmd_fail("cards", "the school's settings cannot be read (thrice check says more)");
    }
    j->origin = s.origin ? s.origin : "http://127.0.0.1:8080";
    j->school = s.name;
    enum err e = store_tx(j->st, "cards", make_tx, j);
    if (e) {
        return cmd_fail("cards", "%s", j->failed ? j->failed : err_info(e)->title);
    }
    return print_page(j);
}

int cmd_cards(int argc, char **argv)
{
    struct job *j = mem_new(NULL, struct job);
    const char *dir = NULL, *holder = NULL, *others = NULL;
    const struct cmd_option options[] = {
        {.name = "data", .value = &dir},
        {.name = "holder", .value = &holder},
        {.name = "replace", .flag = &j->replace},
        {.name = "others", .value = &others},
        {.name = NULL},
    };
    int first = 0;
    int status = cmd_options(argc, argv, options, help, &first);

    j->mem = j;
    buf_init(&j->further, j);
    buf_init(&j->held, j);
    if (status < 0 && (!dir || argc - first != 1)) {
        status = cmd_usage("cards", "say one class and --data DIR (see --help)");
    }
    holder = holder ? holder : "pupil";
    if (status < 0 && strcmp(holder, "pupil") != 0 && strcmp(holder, "family") != 0) {
        status = cmd_usage("cards", "--holder is pupil or family");
    }
    if (status < 0 && others &&
        (!j->replace || (strcmp(others, "keep") != 0 && strcmp(others, "remake") != 0))) {
        status = cmd_usage("cards", "--others is keep or remake, and goes with --replace");
    }
    if (status < 0) {
        j->others = others && strcmp(others, "remake") == 0;
        j->holder = strcmp(holder, "family") == 0 ? CARD_FOR_FAMILY : CARD_FOR_PUPIL;
        j->class_name = argv[first];
        status = run(j, dir);
    }
    if (j->st) {
        store_close(j->st);
    }
    keys_free(j->keys);
    talloc_free(j);
    return status;
}
