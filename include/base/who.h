/* SPDX-License-Identifier: MIT
 * The person behind a request, as the gate found it. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

#include "base/ids.h"

enum role { ROLE_NONE, ROLE_PUPIL, ROLE_CARER, ROLE_STAFF };

/* Who a route lets in (route.allow is a mask). School-wide rights first, then rights on a class:
 * a class right only opens the route; route.scope decides whether it is this person's class. */
enum {
    ALLOW_ANYONE = 1 << 0,
    ALLOW_PUPIL = 1 << 1,
    ALLOW_CARER = 1 << 2,
    ALLOW_TEACH = 1 << 3,           /* `teach` on the class in question         */
    ALLOW_HELP = 1 << 4,            /* `help` on it, not past its end date      */
    ALLOW_READ = 1 << 5,            /* `read` on it                             */
    ALLOW_PE_LEAD = 1 << 6,
    ALLOW_SAFEGUARDING = 1 << 7,
    ALLOW_OFFICE = 1 << 8,
    ALLOW_STAFF = 1 << 9,           /* any member of staff who is signed in     */
};

struct who {
    enum role role;
    struct session_id session;
    unsigned rights;                /* staff: ALLOW_PE_LEAD | ALLOW_SAFEGUARDING | ALLOW_OFFICE */
    struct staff_id staff;
    struct pupil_id pupil;          /* role pupil: the card's child */
    struct card_id card;            /* role pupil: the card */
    char csrf[44];                  /* base64url of the session's token, NUL-terminated */
    bool must_change;               /* staff: signed in with a passphrase the office issued */
};
