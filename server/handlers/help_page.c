/* SPDX-License-Identifier: MIT
 * The help page: web/help.html as built in, and in it what the school's own row says about when
 * school is closed. Made here and not by a script, so that a browser without one reads it too. */
#include <string.h>

#include "handlers/handlers.h"
#include "http/assets.h"
#include "http/reply.h"
#include "http/request.h"
#include "store/school.h"
#include "words.h"

static const char mark[] = "<!-- closed -->\n";

static const struct asset *template_find(void)
{
    for (uint64_t i = 0; i < asset_count; i++) {
        if (strcmp(assets[i].source, "help.html") == 0) {
            return &assets[i];
        }
    }
    return NULL;
}

/* The fixed lines always stand; the school can add to them and take none away. */
static void closed_in(struct buf *b, const struct language *l, const struct school *s)
{
    html_lit(b, "<div lang=\"");
    html_txt(b, l->tag);
    html_lit(b, "\" dir=\"");
    html_txt(b, l->dir);
    html_lit(b, "\">\n");
    if (*s->away_phone) {
        html_lit(b, "<p>");
        html_words(b, words_say(l, "tell.says"));
        html_lit(b, " <strong dir=\"auto\">");
        html_txt(b, s->away_phone);
        html_lit(b, "</strong></p>\n");
    }
    html_lit(b, "<p>");
    html_words(b, words_say(l, "tell.trust"));
    html_lit(b, "</p>\n<p>");
    html_words(b, words_say(l, "tell.danger"));
    html_lit(b, " ");
    html_words(b, words_say(l, "tell.ring"));
    html_lit(b, "</p>\n<p>");
    html_words(b, words_say(l, "tell.childline"));
    html_lit(b, "</p>\n");
    if (language_unread(l, s)) {
        html_lit(b, "<p class=\"small\">");
        html_words(b, words_say(l, "lang.machine"));
        html_lit(b, " <span class=\"english\" lang=\"en-GB\" dir=\"ltr\">");
        html_words(b, words_say(&languages[0], "lang.machine"));
        html_lit(b, "</span></p>\n");
    }
    html_lit(b, "</div>\n");
}

enum err h_help_get(struct request *rq, struct reply *rp)
{
    const struct asset *a = template_find();
    const char *at = a ? strstr(a->plain, mark) : NULL;
    struct school s;
    enum err e = school_get(rq->store, rq->mem, &s);

    if (e || !at) {
        return e ? e : ERR_INTERNAL;
    }
    struct buf *b = reply_html(rq, rp, 200);
    buf_bytes(b, a->plain, (size_t)(at - (const char *)a->plain));
    for (const struct language *l = languages; l < languages + LANGUAGES; l++) {
        closed_in(b, l, &s);
    }
    buf_str(b, at + sizeof mark - 1);
    return OK;
}
