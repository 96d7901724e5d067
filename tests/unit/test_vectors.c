/* SPDX-License-Identifier: MIT
 * Holds the assessment to its reference vectors: every row of every file of a folder, which is
 * $THRICE_VECTORS or the copy kept in tests/data/vectors. The vectors were computed with exact
 * fractions, 40-digit arithmetic and scipy, and again in R (tests/data/vectors/README.md). */
#include <dirent.h>

#include "vectors/bands.h"
#include "vectors/distances.h"
#include "vectors/gains.h"
#include "vectors/groups.h"
#include "vectors/judge.h"
#include "vectors/numbers.h"
#include "vectors/read.h"
#include "vectors/score.h"

static const struct table tables[] = {
    {"01_attainable.csv", "id,points,n,cap,attainable,how_many", check_attainable},
    {"02_personal_best.csv",
     "id,tol_m,history_distance@score_signed_higher_better,new_distance,new_score,status",
     check_best},
    {"03_gain_throws.csv", "id,points,before_counts,after_counts,p_up,p_eq,p_lo,p_best,category",
     check_gain_throws},
    {"04_gain_totals.csv", "id,points,n,cap,before_totals,after_totals,p_smallest,p_largest",
     check_gain_totals},
    {"05_first_to_best.csv", "id,points,attempts_counts,gain,p", check_first_to_best},
    {"06_gain_counts.csv", "id,before,seconds_before,after,seconds_after,p_up", check_gain_counts},
    {"07_gain_measure.csv",
     "id,mean_before,n_before,mean_after,n_after,s_w,nu,s_day,t,p_up", check_gain_measure},
    {"08_band_zones_successes.csv",
     "id,points,n,cap,attempts,alpha,weight,m_new,stat,thresholds,observed,observed_band,"
     "band_probs,label,span80", check_band_zones},
    {"09_band_counts.csv",
     "id,counts,weight,m_new,stat,thresholds,observed,observed_band,band_probs,label",
     check_band_counts},
    {"10_band_measure.csv",
     "id,values,better,scale,resolution,s_w,nu,rho,m_new,stat,thresholds_easiest_first,"
     "band_probs_lowest_first", check_band_measure},
    {"11_zone_probs.csv",
     "id,rects_x1/x2/y1/y2_by_priority,sigma_rad,distance,kappa,lapse,probs_then_miss",
     check_zone_probs},
    {"12_distance_fair.csv",
     "id,rects,zone_points,n,kappa,attempts_distance@counts(rects..miss)_or_total,d_ref,m,stat,"
     "thresholds,post_mean_log_sigma,post_sd_log_sigma,pred_mean_one_attempt,pred_lo10,pred_hi90,"
     "band_probs", check_distance_fair},
    {"13_next_distance.csv",
     "id,rects,zone_points,n,kappa,attempts,steps,current_index,target,dead_band,space_limit,"
     "throws_at_current,block_up,hit_probs,next_index,reason", check_next_distance},
    {"14_gain_across_distances.csv",
     "id,rects,zone_points,n,kappa,before,after,p_spread_smaller_now", check_across},
    {"15_next_score.csv",
     "id,points,n,cap,attempts,m,best,next_total,p_reach_next,today_target,p_reach_target",
     check_next_score},
    {"16_unit.csv",
     "id,top_band,activity_bands_-1_missing,min_activities,cues_seen/looked,physical_rule,"
     "right/answered,min_answered,handed_in/set,min_set,fraction_thresholds,policy,"
     "allof_requirements_phys/think/part,activity_band,cue_band,physical,thinking,taking_part,"
     "status,band,lo,hi", check_unit},
    {"17_five_numbers.csv", "id,values,min,q1,median,q3,max,mean", check_five},
    {"18_icc_balanced.csv",
     "id|rows_pupils|MSB|MSW|MSE|ICC(1,1)|ICC(1,k)|ICC(3,1)|ICC(3,k)|lower95|upper95|typical_error",
     check_icc_balanced},
    {"19_icc_unbalanced.csv", "id|rows_pupils|k0|MSB|MSW|ICC(1)|ICC(1,k0)|typical_error|df",
     check_icc_unbalanced},
    {"20_kappa.csv", "id,table_rows_judge1,weights,kappa,ase_1969,p_observed,p_expected",
     check_kappa},
    {"21_suppress.csv", "id,counts_rows,hidden_mask", check_suppress},
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
    int m = split(t->columns, strchr(t->columns, '|') != NULL ? '|' : ',', hold, want);
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
    if (rows == 0 && failures == before) {
        failures++;
        fprintf(stderr, "FAIL %s: no rows\n", name);
    }
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
