/* SPDX-License-Identifier: MIT
 * Stored integers in everyday units: nobody should ever read a millisecond. */
#include "value_words.h"

/* value / scale, scale a power of ten, without trailing zeros. */
static void decimal(struct buf *b, int64_t value, int64_t scale)
{
    int64_t rest = value % scale;
    buf_int(b, value / scale);
    if (rest != 0) {
        buf_str(b, ".");
        for (int64_t unit = scale / 10; rest > 0 && unit > 0; unit /= 10) {
            buf_int(b, rest / unit);
            rest %= unit;
        }
    }
}

void value_words(struct buf *b, enum value_unit unit, int64_t value)
{
    switch (unit) {
    case VALUE_MS:
        decimal(b, value, 1000);
        buf_str(b, value == 1000 ? " second" : " seconds");
        break;
    case VALUE_MM:
        decimal(b, value, 10);
        buf_str(b, " cm");
        break;
    case VALUE_POINTS:
        buf_int(b, value);
        buf_str(b, value == 1 ? " point" : " points");
        break;
    default:
        buf_int(b, value);
    }
}

void value_number(struct buf *b, enum value_unit unit, int64_t value)
{
    decimal(b, value, unit == VALUE_MS ? 1000 : unit == VALUE_MM ? 10 : 1);
}

void metres_words(struct buf *b, int32_t mm)
{
    decimal(b, mm, 1000);
    buf_str(b, " m");
}
