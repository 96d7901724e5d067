/* SPDX-License-Identifier: MIT
 * Does the machine say that its clock is right?
 *
 * Two witnesses. The kernel (adjtimex), which knows of any service that disciplines it, but which
 * the service unit refuses to the server (@clock is blocked); and the file that systemd-timesyncd
 * touches at each successful synchronisation (systemd-timesyncd.service(8)), which every process
 * may look at. Either must speak of the clock that this process reads: the kernel's time has to be
 * ours, the file has to be fresh by ours. So a process under another clock is told "no" by both,
 * and so is a machine whose clock was moved by hand (the kernel then drops its flag, the file is
 * stale). statx() rather than stat(): what moves a process's clock may move stat's times with it.
 */
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/timex.h>

#include "base/clock.h"

enum { SAME_S = 5, FRESH_S = 24 * 3600 };

static const char sync_file[] = "/run/systemd/timesync/synchronized";

bool clock_signs_good(const struct clock_signs *s, int64_t now)
{
    bool kernel = s->kernel && llabs(s->kernel_at - now) <= SAME_S;
    bool file = s->file && s->file_at <= now + SAME_S && now - s->file_at <= FRESH_S;
    return kernel || file;
}

bool clock_synchronised(int64_t now)
{
    struct clock_signs s = {0};
    struct timex kernel = {.modes = 0};
    int state = adjtimex(&kernel);
    s.kernel = state >= 0 && state != TIME_ERROR && !(kernel.status & STA_UNSYNC);
    s.kernel_at = (int64_t)kernel.time.tv_sec;
    struct statx file;
    if (statx(AT_FDCWD, sync_file, AT_SYMLINK_NOFOLLOW, STATX_MTIME, &file) == 0) {
        s.file = true;
        s.file_at = file.stx_mtime.tv_sec;
    }
    return clock_signs_good(&s, now);
}
