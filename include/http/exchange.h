/* SPDX-License-Identifier: MIT
 * One request and its answer, from libmicrohttpd's callbacks to the handlers and back. Inside
 * server/http only. */
#pragma once

#include <microhttpd.h>
#include <stddef.h>

#include "http/loop.h"
#include "http/reply.h"
#include "http/request.h"
#include "http/vet.h"

enum exchange_phase {
    EX_FIRST,       /* before the first handler call                        */
    EX_BODY,        /* the body comes in, then the request is complete      */
    EX_AWAY,        /* suspended; another thread holds it                   */
    EX_BACK,        /* resumed                                              */
    EX_DONE,        /* answered                                             */
};

struct exchange {
    struct request rq;              /* first: rq->mem owns this very struct */
    struct reply rp;
    struct headers head;
    struct loop *loop;
    struct conn *conn;
    struct MHD_Connection *mhd;
    struct exchange *next;          /* in loop->ready */
    enum exchange_phase phase;
    enum err result;                /* of the work so far */
    enum method method;
    const struct asset *asset;
    struct buf body;
    int64_t body_taken;
    unsigned methods;               /* for Allow */
    const char *path;
    enum err target_fault;
    bool close, html;
    size_t target_len;              /* of the raw target */
    int64_t began_ms;
};

/* libmicrohttpd's callbacks; cls is the loop. */
void *exchange_uri(void *cls, const char *uri, struct MHD_Connection *mhd);
enum MHD_Result exchange_access(void *cls, struct MHD_Connection *mhd, const char *url,
                                const char *method, const char *version, const char *data,
                                size_t *data_size, void **con_cls);
void exchange_completed(void *cls, struct MHD_Connection *mhd, void **con_cls,
                        enum MHD_RequestTerminationCode toe);

/* On the loop's thread, for each exchange handed back: lets libmicrohttpd go on with it. */
void exchange_resume(struct exchange *ex);

/* exchange_head.c: judges the request line and headers; fills rq; OK when the body may come. */
enum err exchange_judge(struct exchange *ex, const char *method, const char *version);

/* exchange_work.c: the request is whole. */
enum MHD_Result exchange_work(struct exchange *ex);
/* After a resume. */
enum MHD_Result exchange_work_back(struct exchange *ex);

/* exchange.c: queues the answer: the file, ex->rp, or the problem of ex->result. */
enum MHD_Result exchange_answer(struct exchange *ex);
