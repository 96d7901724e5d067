/* SPDX-License-Identifier: MIT
 * Holds the assessment to its reference vectors: every row of every file of a folder, which is
 * $THRICE_VECTORS or the copy kept in tests/data/vectors. The vectors were computed with exact
 * fractions, 40-digit arithmetic and scipy, and again in R (tests/data/vectors/README.md). */
#include <dirent.h>

#include "vectors/bands.h"
#include "vectors/judge.h"
#include "vectors/numbers.h"
#include "vectors/read.h"
#include "vectors/score.h"

static const struct table tables[] = {
    {"01_attainable.csv", "id,points,n,cap,attainable,how_many", check_attainable},
    {"02_personal_best.csv",
     "id,tol_m,history_distance@score_signed_higher_better,new_distance,new_score,status",
     check_best},
    {"08_band_zones_successes.csv",
     "id,points,n,cap,attempts,alpha,weight,m_new,stat,thresholds,observed,observed_band,"
     "band_probs,label,span80", check_band_zones},
    {"09_band_counts.csv",
     "id,counts,weight,m_new,stat,thresholds,observed,observed_band,band_probs,label",
     check_band_counts},
    {"10_band_measure.csv",
     "id,values,better,scale,resolution,s_w,nu,rho,m_new,stat,thresholds_easiest_first,"
     "band_probs_lowest_first", check_band_measure},
    {"16_unit.csv",
     "id,top_band,activity_bands_-1_missing,min_activities,cues_seen/looked,physical_rule,"
     "right/answered,min_answered,handed_in/set,min_set,fraction_thresholds,policy,"
     "allof_requirements_phys/think/part,activity_band,cue_band,physical,thinking,taking_part,"
     "status,band,lo,hi", check_unit},
    {"22_special.csv", "id,function,args,value", check_special},
};

/* RFC 4180 without line breaks in cells. Cuts `line` up; false when a quote is left open. */
static bool cut(char *line, char **part, int *n)
{
    line[strcspn(line, "\r\n")] = '\0';
    *n = 0;
    for (char *p = line; *n < COLUMNS_MAX;) {
        char *to = p;
        part[(*n)++] = p;
        bool quoted = *p == '"';
        p += quoted;
        while (*p != '\0' && (quoted || *p != ',')) {
            if (quoted && *p == '"' && p[1] != '"') {
                quoted = false;
                p++;
                continue;
            }
            p += quoted && *p == '"';
            *to++ = *p++;
        }
        bool more = *p == ',';
        *to = '\0';
        if (quoted || !more) {
            return !quoted;
        }
        p++;
    }
    return true;
}

static const struct table *table_of(const char *name)
{
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        if (strcmp(tables[i].file, name) == 0) {
            return &tables[i];
        }
    }
    return NULL;
}

/* The header's names must be the table's, each known and none missing; any order. */
static bool header_known(const struct table *t, char **name, int n)
{
    char hold[LINE_MAX_BYTES], *want[PARTS_MAX];
    int m = split(t->columns, ',', hold, want);
    bool ok = n == m;
    for (int i = 0; i < n; i++) {
        int k = 0;
        while (k < m && strcmp(want[k], name[i]) != 0) {
            k++;
        }
        if (k == m) {
            fprintf(stderr, "FAIL %s: unknown column %s\n", t->file, name[i]);
            ok = false;
        }
    }
    if (n != m) {
        fprintf(stderr, "FAIL %s: %d columns, not %d\n", t->file, n, m);
    }
    return ok;
}

static int read_table(const struct table *t, FILE *f)
{
    static char header[LINE_MAX_BYTES], line[LINE_MAX_BYTES];
    char *name[COLUMNS_MAX + 1] = {NULL};
    int n, rows = 0;
    if (fgets(header, sizeof header, f) == NULL || !cut(header, name, &n) ||
        !header_known(t, name, n)) {
        failures++;
        return 0;
    }
    while (fgets(line, sizeof line, f) != NULL) {
        struct row r = {.file = t->file, .column = (const char *const *)name};
        if (line[strspn(line, "\r\n")] == '\0') {
            continue;
        }
        if (!cut(line, r.cell, &r.cells) || r.cells != n) {
            failures++;
            fprintf(stderr, "FAIL %s: row %d cannot be read\n", t->file, rows + 1);
            continue;
        }
        t->check(&r);
        rows++;
    }
    return rows;
}

static int read_file(const char *dir, const char *name)
{
    char path[4096];
    const struct table *t = table_of(name);
    snprintf(path, sizeof path, "%s/%s", dir, name);
    FILE *f = t == NULL ? NULL : fopen(path, "r");
    if (f == NULL) {
        failures++;
        fprintf(stderr, "FAIL %s: %s\n", name, t == NULL ? "unknown file" : "cannot be opened");
        return 0;
    }
    int before = failures, rows = read_table(t, f);
    fclose(f);
    printf("%-32s %3d rows%s\n", name, rows, failures > before ? "  FAILED" : "");
    return rows;
}

int main(void)
{
    const char *dir = getenv("THRICE_VECTORS");
    struct dirent **entry;
    int rows = 0;
    dir = dir != NULL && *dir != '\0' ? dir : "tests/data/vectors";
    int n = scandir(dir, &entry, NULL, alphasort);
    if (n < 0) {
        perror(dir);
        return 1;
    }
    for (int i = 0; i < n; i++) {
        const char *name = entry[i]->d_name;
        if (name[0] != '.' && strcmp(name, "README.md") != 0) {
            rows += read_file(dir, name);
        }
        free(entry[i]);
    }
    free(entry);
    if (rows == 0) {
        fprintf(stderr, "FAIL %s: no rows\n", dir);
        failures++;
    }
    printf("%d rows checked, %d differences\n", rows, failures);
    return failures == 0 ? 0 : 1;
}
