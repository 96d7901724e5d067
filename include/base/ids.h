/* SPDX-License-Identifier: MIT
 * One type an id, so that a mixed-up id does not compile. .v is 0 for "none". */
#pragma once

#include <stdint.h>

struct pupil_id { int64_t v; };
struct staff_id { int64_t v; };
struct class_id { int64_t v; };
struct card_id { int64_t v; };
struct unit_id { int64_t v; };
struct lesson_id { int64_t v; };
struct activity_id { int64_t v; };
struct revision_id { int64_t v; };     /* one immutable state of an activity */
struct version_id { int64_t v; };      /* a way of doing it: standard, quiet, seated, no kit */
struct challenge_id { int64_t v; };
struct message_id { int64_t v; };
struct session_id { int64_t v; };
struct uuid { uint8_t b[16]; };        /* a hand-in's id, made by the client */
