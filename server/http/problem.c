/* SPDX-License-Identifier: MIT
 * Errors as answers (RFC 9457 problem details), and their HTML twin for pages and the plain form.
 */
#include "http/problem.h"

#include <string.h>

#include "base/buf.h"
#include "http/assets.h"

enum { RETRY_BUSY_S = 3, RETRY_TOO_MANY_S = 1 };

static void blame_write(struct buf *b, const struct blame *m)
{
    buf_str(b, "{\"pointer\":");
    json_txt(b, m->pointer);
    buf_str(b, ",\"code\":");
    json_txt(b, m->code);
    const char *key;
    json_t *value;
    json_object_foreach(m->more, key, value) {
        buf_str(b, ",");
        json_txt(b, key);
        buf_str(b, ":");
        size_t n = json_dumpb(value, NULL, 0, JSON_ENCODE_ANY | JSON_COMPACT);
        char text[512];
        if (n < sizeof text) {
            json_dumpb(value, text, n, JSON_ENCODE_ANY | JSON_COMPACT);
            buf_bytes(b, text, n);
        } else {
            buf_str(b, "null");
        }
    }
    buf_str(b, "}");
}

/* A refusal about the whole request still gives its code in `errors`, so that a client reads one
 * member only: "card_ended", "not_open", "closed", "different". */
static const char *code_of(enum err e)
{
    switch (e) {
    case ERR_CARD_ENDED:
        return "card_ended";
    case ERR_DIFFERENT:
        return "different";
    case ERR_NOT_OPEN:
        return "not_open";
    case ERR_CLOSED:
        return "closed";
    case ERR_ENOUGH_TODAY:
        return "enough_today";
    case ERR_CONFIRM:
        return "confirm";
    default:
        return NULL;
    }
}

static void problem_json(struct request *rq, struct reply *rp, enum err e)
{
    const struct err_info *info = err_info(e);
    struct buf *b = &rp->body;
    rp->type = "application/problem+json";
    buf_printf(b, "{\"type\":\"/problems/%s\",\"title\":", info->slug);
    json_txt(b, info->title);
    buf_printf(b, ",\"status\":%d,\"instance\":\"urn:req:%s\"", info->status, rq->request_id);
    struct blame whole = {"", code_of(e), NULL};
    size_t n = rq->blame_count;
    const struct blame *list = rq->blames;
    if (n == 0 && whole.code) {
        n = 1;
        list = &whole;
    }
    for (size_t i = 0; i < n; i++) {
        buf_str(b, i ? "," : ",\"errors\":[");
        blame_write(b, &list[i]);
    }
    buf_str(b, n ? "]}" : "}");
}

/* For whoever mistyped an address or came at a bad moment: no word of the trade. */
static const char *plain_words(int status)
{
    if (status == 404 || status == 410) {
        return "There is no page at this address. It may be mistyped, or not for this card.";
    }
    if (status == 429 || status >= 503) {
        return "There is too much to do just now. Wait a minute, then try again.";
    }
    return "This did not work. Go back one page and try again.";
}

static void problem_html(struct reply *rp, enum err e)
{
    const struct err_info *info = err_info(e);
    struct buf *b = &rp->body;
    rp->type = "text/html; charset=utf-8";
    rp->html = true;
    html_lit(b, "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n"
                "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                "<title>");
    html_txt(b, info->title);
    html_lit(b, "</title>\n<link rel=\"stylesheet\" href=\"/s/");
    html_txt(b, assets_tree_hash);
    html_lit(b, "/css/quick.css\">\n</head>\n<body>\n<main>\n<h1>");
    html_txt(b, info->title);
    html_lit(b, "</h1>\n<p>");
    html_txt(b, plain_words(info->status));
    html_lit(b, "</p>\n<ul>\n<li><a href=\"/\">A child's card</a></li>\n"
                "<li><a href=\"/quick\">The plain form, for any device</a></li>\n"
                "<li><a href=\"/c\">A family card</a></li>\n"
                "<li><a href=\"/staff\">Staff</a></li>\n</ul>\n"
                "</main>\n</body>\n</html>\n");
}

void problem_write(struct request *rq, struct reply *rp, enum err e, bool html)
{
    *rp = (struct reply){.status = err_info(e)->status};
    buf_init(&rp->body, rq->mem);
    if ((e == ERR_BUSY || e == ERR_STORE_FULL) && rq->retry_after_s <= 0) {
        rq->retry_after_s = RETRY_BUSY_S;
    } else if (e == ERR_TOO_MANY && rq->retry_after_s <= 0) {
        rq->retry_after_s = RETRY_TOO_MANY_S;
    }
    if (html) {
        problem_html(rp, e);
    } else {
        problem_json(rq, rp, e);
    }
}
