/* SPDX-License-Identifier: MIT
 * What leaves a class: no small cell is ever shown, and each line with a hidden one has company. */
#include "assess/group.h"
#include "take.h"

enum { CELLS = 70 * 6 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bytes b = {data, size};
    int count[CELLS], columns = take_int(&b, 0, 6);
    int rows = take(&b) % 16 ? take_int(&b, 0, 8) : take_int(&b, 0, 70);
    bool hidden[CELLS];
    for (int i = 0; i < rows * columns; i++) {
        count[i] = take(&b) % 3 ? take_int(&b, 0, 12) : take_int(&b, 0, 1000);
    }
    leave_hide(&(struct leave_table){count, rows, columns}, hidden);
    for (int i = 0; i < rows * columns; i++) {
        MUST(hidden[i] || count[i] == 0 || count[i] >= 5);
    }
    for (int r = 0; r < rows && columns > 0; r++) {
        int cells = 0, sum = 0;
        for (int c = 0; c < columns; c++) {
            cells += hidden[r * columns + c];
            sum += hidden[r * columns + c] ? count[r * columns + c] : 0;
        }
        MUST(cells == 0 || cells == columns || (cells >= 2 && sum >= 5));
        (void)leave_row(count + r * columns, columns);
        int percent = leave_percent(count[r * columns], 1000);
        MUST(percent >= 0 && percent <= 100 && percent % 5 == 0);
    }
    return 0;
}
