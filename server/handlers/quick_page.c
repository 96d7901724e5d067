/* SPDX-License-Identifier: MIT
 * The form: empty at first, then with what was typed and what is to mend. Words about safety stand
 * beside their English. Everything that was typed goes through html_txt; the page is never cached
 * and has no script. */
#include "http/assets.h"
#include "quick_internal.h"

const char *const quick_names[QUICK_FIELDS] = {
    [QUICK_CODE] = "code",
    [QUICK_CHALLENGE] = "challenge",
    [QUICK_ATTEMPT] = "attempt_1",
    [QUICK_ATTEMPT + 1] = "attempt_2",
    [QUICK_ATTEMPT + 2] = "attempt_3",
    [QUICK_ATTEMPT + 3] = "attempt_4",
    [QUICK_ATTEMPT + 4] = "attempt_5",
    [QUICK_DISTANCE] = "distance_m",
    [QUICK_COULD_NOT] = "could_not",
    [QUICK_CONFIRMED] = "confirmed",
};

/* A number of a try is put into "try.tab"; these stand for it. */
static const char *const labels[QUICK_FIELDS] = {
    [QUICK_CODE] = "quick.code",
    [QUICK_CHALLENGE] = "quick.challenge",
    [QUICK_DISTANCE] = "quick.distance",
    [QUICK_COULD_NOT] = "quick.could_not",
    [QUICK_CONFIRMED] = "quick.confirmed",
};

static const char *const hints[QUICK_FIELDS] = {
    [QUICK_CODE] = "quick.code_hint",
    [QUICK_CHALLENGE] = "quick.challenge_hint",
    [QUICK_DISTANCE] = "quick.distance_hint",
    [QUICK_COULD_NOT] = "quick.could_not_hint",
};

struct choice {
    const char *code, *key;
};
static const struct choice choices[] = {
    {"", "quick.did"},
    {"no_space", "reason.no_space"},
    {"no_kit", "reason.no_kit"},
    {"no_device", "reason.no_device"},
    {"no_grown_up", "reason.no_grown_up"},
    {"not_today", "reason.not_today"},
};

static void put(const struct quick *q, struct buf *b, const char *key)
{
    html_words(b, words_say(q->language, key));
}

static void paragraph(const struct quick *q, struct buf *b, const char *key)
{
    html_lit(b, "<p>");
    put(q, b, key);
    html_lit(b, "</p>\n");
}

/* For all that has to do with safety: the English stands beside it. */
static void both(const struct quick *q, struct buf *b, const char *key)
{
    html_lit(b, "<p>");
    put(q, b, key);
    if (q->language != &languages[0]) {
        html_lit(b, " <span class=\"english\" lang=\"en-GB\" dir=\"ltr\">");
        html_txt(b, words_say(&languages[0], key));
        html_lit(b, "</span>");
    }
    html_lit(b, "</p>\n");
}

static void link(const struct quick *q, struct buf *b, const char *href, const char *key)
{
    html_lit(b, "<p class=\"link\"><a href=\"");
    html_txt(b, href);
    html_lit(b, "\">");
    put(q, b, key);
    html_lit(b, "</a></p>\n");
}

/* The children's part of that page in each language, in the order of `languages`. */
static const char *const for_children[LANGUAGES] = {
    "/privacy#child",
    "/privacy#child-pl",
    "/privacy#child-ur",
};

/* "/quick", "/quick?lang=pl" */
static void address(struct buf *b, const char *path, const struct language *l)
{
    html_txt(b, path);
    if (l != &languages[0]) {
        html_lit(b, "?lang=");
        html_txt(b, l->code);
    }
}

static void language_links(const struct quick *q, struct buf *b, const char *path)
{
    html_lit(b, "<nav class=\"languages\" aria-label=\"");
    put(q, b, "lang.row");
    html_lit(b, "\">\n");
    for (const struct language *l = languages; l < languages + LANGUAGES; l++) {
        html_lit(b, "<a href=\"");
        address(b, path, l);
        html_lit(b, "\" lang=\"");
        html_txt(b, l->tag);
        html_lit(b, "\" dir=\"");
        html_txt(b, l->dir);
        if (l == q->language) {
            html_lit(b, "\" aria-current=\"page");
        }
        html_lit(b, "\">");
        html_txt(b, l->name);
        html_lit(b, "</a>\n");
    }
    html_lit(b, "</nav>\n");
    if (q->unread) {
        both(q, b, "lang.machine");
    }
}

static void head(const struct quick *q, struct buf *b, const char *title)
{
    html_lit(b, "<!DOCTYPE html>\n<html lang=\"");
    html_txt(b, q->language->tag);
    html_lit(b, "\" dir=\"");
    html_txt(b, q->language->dir);
    html_lit(b, "\">\n<head>\n<meta charset=\"utf-8\">\n"
                "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                "<title>");
    put(q, b, title);
    html_lit(b, " - Thrice</title>\n<link rel=\"icon\" href=\"/s/");
    html_txt(b, assets_tree_hash);
    html_lit(b, "/img/mark.svg\" type=\"image/svg+xml\">\n<link rel=\"stylesheet\" href=\"/s/");
    html_txt(b, assets_tree_hash);
    html_lit(b, "/css/letters.css\">\n<link rel=\"stylesheet\" href=\"/s/");
    html_txt(b, assets_tree_hash);
    html_lit(b, "/css/quick.css\">\n</head>\n<body>\n<main>\n<h1>");
}

static void label_words(const struct quick *q, struct buf *b, int f)
{
    if (labels[f]) {
        put(q, b, labels[f]);
        return;
    }
    char number[] = {(char)('1' + f - QUICK_ATTEMPT), '\0'};
    html_words(b, words_fill(q->rq->mem, q->language, words_say(q->language, "try.tab"),
                           (const struct word_value[]){{"try", number}, {NULL, NULL}}));
}

/* What is wrong, once at the top, each with a link to its field. */
static void wrongs(const struct quick *q, struct buf *b)
{
    html_lit(b, "<div class=\"wrongs\" role=\"alert\">\n"
                "<h2>");
    put(q, b, "quick.look");
    html_lit(b, "</h2>\n");
    if (q->wrong_all) {
        html_lit(b, "<p>");
        html_words(b, q->wrong_all);
        html_lit(b, "</p>\n");
    }
    for (int f = 0; f < QUICK_FIELDS; f++) {
        if (q->wrong[f]) {
            html_lit(b, "<p><a href=\"#");
            html_txt(b, quick_names[f]);
            html_lit(b, "\">");
            label_words(q, b, f);
            html_lit(b, "</a>: ");
            html_words(b, q->wrong[f]);
            html_lit(b, "</p>\n");
        }
    }
    html_lit(b, "</div>\n");
}

static void label(const struct quick *q, struct buf *b, int f)
{
    html_lit(b, "<label for=\"");
    html_txt(b, quick_names[f]);
    html_lit(b, "\">");
    label_words(q, b, f);
    html_lit(b, "</label>\n");
    if (hints[f]) {
        html_lit(b, "<span class=\"hint\" id=\"");
        html_txt(b, quick_names[f]);
        html_lit(b, "-hint\">");
        put(q, b, hints[f]);
        html_lit(b, "</span>\n");
    }
    if (q->wrong[f]) {
        html_lit(b, "<span class=\"wrong\" id=\"");
        html_txt(b, quick_names[f]);
        html_lit(b, "-wrong\">");
        html_words(b, q->wrong[f]);
        html_lit(b, "</span>\n");
    }
}

static void described(const struct quick *q, struct buf *b, int f)
{
    html_lit(b, " id=\"");
    html_txt(b, quick_names[f]);
    html_lit(b, "\" name=\"");
    html_txt(b, quick_names[f]);
    html_lit(b, "\" aria-describedby=\"");
    html_txt(b, hints[f] ? quick_names[f] : "tries");
    html_lit(b, "-hint");
    if (q->wrong[f]) {
        html_lit(b, " ");
        html_txt(b, quick_names[f]);
        html_lit(b, "-wrong\" aria-invalid=\"true");
    }
    html_lit(b, "\"");
}

static void text_field(const struct quick *q, struct buf *b, int f)
{
    html_lit(b, "<div class=\"field\">\n");
    label(q, b, f);
    if (f == QUICK_CODE) {
        html_lit(b, "<input class=\"code\" type=\"text\" required maxlength=\"24\""
                    " autocapitalize=\"characters\" spellcheck=\"false\"");
    } else if (f == QUICK_CHALLENGE) {
        html_lit(b, "<input class=\"short\" type=\"text\" inputmode=\"numeric\" maxlength=\"3\"");
    } else if (f == QUICK_DISTANCE) {
        html_lit(b, "<input class=\"short\" type=\"text\" inputmode=\"decimal\" maxlength=\"80\"");
    } else {
        html_lit(b, "<input class=\"short\" type=\"text\" maxlength=\"80\"");
    }
    html_lit(b, " dir=\"ltr\" autocomplete=\"off\"");
    described(q, b, f);
    html_lit(b, " value=\"");
    html_txt(b, q->typed[f]);
    html_lit(b, "\">\n</div>\n");
}

static void tries(const struct quick *q, struct buf *b)
{
    html_lit(b, "<fieldset>\n<legend>");
    put(q, b, "quick.tries");
    html_lit(b, "</legend>\n<p class=\"hint\" id=\"tries-hint\">");
    put(q, b, "quick.tries_hint");
    html_lit(b, "</p>\n");
    for (int i = 0; i < HAND_IN_ATTEMPTS; i++) {
        int f = QUICK_ATTEMPT + i;
        bool asked = i < 3 || (q->activity && i < q->activity->attempts);
        if (asked || q->typed[f][0] || q->wrong[f]) {
            text_field(q, b, f);
        }
    }
    html_lit(b, "</fieldset>\n");
}

static void could_not(const struct quick *q, struct buf *b)
{
    html_lit(b, "<div class=\"field\">\n");
    label(q, b, QUICK_COULD_NOT);
    html_lit(b, "<select");
    described(q, b, QUICK_COULD_NOT);
    html_lit(b, ">\n");
    const char *typed = hand_in_word(hand_in_could_not_words, q->typed[QUICK_COULD_NOT]);
    for (size_t i = 0; i < sizeof choices / sizeof *choices; i++) {
        html_lit(b, "<option value=\"");
        html_txt(b, choices[i].code);
        bool chosen = typed && hand_in_word(hand_in_could_not_words, choices[i].code) == typed;
        if (chosen) {
            html_lit(b, "\" selected>");
        } else {
            html_lit(b, "\">");
        }
        put(q, b, choices[i].key);
        html_lit(b, "</option>\n");
    }
    html_lit(b, "</select>\n</div>\n");
}

static void confirm(const struct quick *q, struct buf *b)
{
    bool ticked = q->typed[QUICK_CONFIRMED][0] != '\0';
    if (!q->ask && !ticked) {
        return;
    }
    html_lit(b, "<div class=\"field\">\n<label class=\"tick\" for=\"confirmed\">"
                "<input type=\"checkbox\" id=\"confirmed\" name=\"confirmed\" value=\"yes\"");
    if (ticked) {
        html_lit(b, " checked");
    }
    html_lit(b, ">");
    put(q, b, "quick.confirmed");
    html_lit(b, "</label>\n</div>\n");
}

static bool any_wrong(const struct quick *q)
{
    bool wrong = q->wrong_all != NULL;
    for (int f = 0; f < QUICK_FIELDS; f++) {
        wrong = wrong || q->wrong[f];
    }
    return wrong;
}

static void form(const struct quick *q, struct buf *b)
{
    html_lit(b, "<form method=\"post\" action=\"/quick\" accept-charset=\"utf-8\""
                " autocomplete=\"off\">\n<input type=\"hidden\" name=\"lang\" value=\"");
    html_txt(b, q->language->code);
    html_lit(b, "\">\n");
    text_field(q, b, QUICK_CODE);
    text_field(q, b, QUICK_CHALLENGE);
    tries(q, b);
    text_field(q, b, QUICK_DISTANCE);
    could_not(q, b);
    confirm(q, b);
    html_lit(b, "<button type=\"submit\">");
    put(q, b, "send.title");
    html_lit(b, "</button>\n</form>\n");
}

void quick_page(struct quick *q, struct buf *b)
{
    bool wrong = any_wrong(q);
    head(q, b, wrong ? "quick.mend" : "send.title");
    put(q, b, "send.title");
    html_lit(b, "</h1>\n");
    language_links(q, b, "/quick");
    if (wrong) {
        wrongs(q, b);
    } else {
        paragraph(q, b, "quick.every");
    }
    form(q, b);
    paragraph(q, b, "today.teacher_sees");
    html_lit(b, "<div class=\"emergency\">\n<div class=\"danger\">");
    both(q, b, "tell.danger");
    html_lit(b, "</div>\n");
    both(q, b, "tell.ring");
    both(q, b, "quick.not_emergency");
    html_lit(b, "</div>\n");
    link(q, b, "/", "quick.pictures");
    link(q, b, for_children[q->language - languages], "card.privacy");
    html_lit(b, "</main>\n</body>\n</html>\n");
}

void quick_thanks_page(struct quick *q, struct buf *b)
{
    head(q, b, "thanks.title");
    put(q, b, "thanks.title");
    html_lit(b, "</h1>\n");
    language_links(q, b, "/quick/thanks");
    paragraph(q, b, "thanks.safe");
    paragraph(q, b, "quick.away");
    html_lit(b, "<p><a class=\"button\" href=\"");
    address(b, "/quick", q->language);
    html_lit(b, "\">");
    put(q, b, "quick.more");
    html_lit(b, "</a></p>\n");
    link(q, b, "/", "quick.pictures");
    html_lit(b, "</main>\n</body>\n</html>\n");
}
