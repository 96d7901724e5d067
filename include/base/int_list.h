/* SPDX-License-Identifier: MIT
 * A list of whole numbers in a text: "4,8,11". */
#pragma once

#include <stddef.h>
#include <stdint.h>

enum int_list_fault { INT_LIST_FINE, INT_LIST_EMPTY, INT_LIST_TYPE, INT_LIST_TOO_MANY };

/* Numbers of one to nine digits with a comma between two, nothing else; 0..999,999,999. *n becomes
 * how many were read into out[], at most `room`; after INT_LIST_TYPE that is the index of the one
 * at fault. A comma at the end is a fault of the number before it. `s` NULL or "":
 * INT_LIST_EMPTY. */
enum int_list_fault int_list_read(const char *s, size_t room, int64_t *out, size_t *n);
