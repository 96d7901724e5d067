/* SPDX-License-Identifier: MIT
 * The form again, as web/quick.html has it, with what was typed and what is to mend. Everything
 * that was typed goes through html_txt; the page is never cached and has no script. */
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

static const char *const labels[QUICK_FIELDS] = {
    [QUICK_CODE] = "The letters on your card",
    [QUICK_CHALLENGE] = "The number of the challenge",
    [QUICK_ATTEMPT] = "Try 1",
    [QUICK_ATTEMPT + 1] = "Try 2",
    [QUICK_ATTEMPT + 2] = "Try 3",
    [QUICK_ATTEMPT + 3] = "Try 4",
    [QUICK_ATTEMPT + 4] = "Try 5",
    [QUICK_DISTANCE] = "How far away, in metres",
    [QUICK_COULD_NOT] = "Could you not do it?",
    [QUICK_CONFIRMED] = "Yes, that is right",
};

static const char *const hints[QUICK_FIELDS] = {
    [QUICK_CODE] = "There are nine letters. Like this: BKT RMW HZV",
    [QUICK_CHALLENGE] = "It is on your sheet. Leave it empty if you have only one.",
    [QUICK_DISTANCE] = "Only if your sheet says how far. Like this: 3 or 2.5",
    [QUICK_COULD_NOT] = "Then leave the tries empty. That is fine.",
};

struct choice {
    const char *code, *words;
};
static const struct choice choices[] = {
    {"", "I did it"},
    {"no_space", "There is no safe space"},
    {"no_kit", "I do not have the things"},
    {"no_device", "No screen was free"},
    {"no_grown_up", "No grown-up was near"},
    {"not_today", "Not today"},
};

static void head(struct buf *b)
{
    html_lit(b, "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n"
                "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                "<title>Something to mend - Send my tries - Thrice</title>\n"
                "<link rel=\"icon\" href=\"/s/");
    html_txt(b, assets_tree_hash);
    html_lit(b, "/img/mark.svg\" type=\"image/svg+xml\">\n<link rel=\"stylesheet\" href=\"/s/");
    html_txt(b, assets_tree_hash);
    html_lit(b, "/css/quick.css\">\n</head>\n<body>\n<main>\n<h1>Send my tries</h1>\n");
}

/* What is wrong, once at the top, each with a link to its field. */
static void wrongs(const struct quick *q, struct buf *b)
{
    html_lit(b, "<div class=\"wrongs\" role=\"alert\">\n"
                "<h2>Nothing is sent yet. Look here:</h2>\n");
    if (q->wrong_all) {
        html_lit(b, "<p>");
        html_txt(b, q->wrong_all);
        html_lit(b, "</p>\n");
    }
    for (int f = 0; f < QUICK_FIELDS; f++) {
        if (q->wrong[f]) {
            html_lit(b, "<p><a href=\"#");
            html_txt(b, quick_names[f]);
            html_lit(b, "\">");
            html_txt(b, labels[f]);
            html_lit(b, "</a>: ");
            html_txt(b, q->wrong[f]);
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
    html_txt(b, labels[f]);
    html_lit(b, "</label>\n");
    if (hints[f]) {
        html_lit(b, "<span class=\"hint\" id=\"");
        html_txt(b, quick_names[f]);
        html_lit(b, "-hint\">");
        html_txt(b, hints[f]);
        html_lit(b, "</span>\n");
    }
    if (q->wrong[f]) {
        html_lit(b, "<span class=\"wrong\" id=\"");
        html_txt(b, quick_names[f]);
        html_lit(b, "-wrong\">");
        html_txt(b, q->wrong[f]);
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
    } else {
        html_lit(b, "<input class=\"short\" type=\"text\" maxlength=\"80\"");
    }
    html_lit(b, " autocomplete=\"off\"");
    described(q, b, f);
    html_lit(b, " value=\"");
    html_txt(b, q->typed[f]);
    html_lit(b, "\">\n</div>\n");
}

static void tries(const struct quick *q, struct buf *b)
{
    html_lit(b, "<fieldset>\n<legend>Your tries</legend>\n<p class=\"hint\" id=\"tries-hint\">"
                "Write the total. Or write each throw, like this: 5 2 0 2</p>\n");
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
        html_txt(b, choices[i].words);
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
    html_lit(b, ">Yes, that is right</label>\n</div>\n");
}

void quick_page(struct quick *q, struct buf *b)
{
    head(b);
    wrongs(q, b);
    html_lit(b, "<form method=\"post\" action=\"/quick\" accept-charset=\"utf-8\""
                " autocomplete=\"off\">\n");
    text_field(q, b, QUICK_CODE);
    text_field(q, b, QUICK_CHALLENGE);
    tries(q, b);
    text_field(q, b, QUICK_DISTANCE);
    could_not(q, b);
    confirm(q, b);
    html_lit(b, "<button type=\"submit\">Send my tries</button>\n</form>\n"
                "<p>Your teacher can see the tries you send.</p>\n"
                "<div class=\"emergency\">\n"
                "<p><strong>Badly hurt, or in danger now?</strong></p>\n"
                "<p>Tell a grown-up near you. Or ring 999.</p>\n"
                "<p>This form is not for emergencies.</p>\n</div>\n"
                "<p class=\"link\"><a href=\"/\">Go to the page with pictures</a></p>\n"
                "<p class=\"link\"><a href=\"/privacy#child\">What happens to my tries?</a></p>\n"
                "</main>\n</body>\n</html>\n");
}
