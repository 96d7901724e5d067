/* SPDX-License-Identifier: MIT
 * The plan of a year's end as JSON: classes by name, in each the year groups with the children by
 * name, what would come of them, and what stands in the way. */
#include "people_internal.h"
#include "year_internal.h"

static json_t *year_json(int year)
{
    return year == PUPIL_NO_YEAR ? json_null() : json_integer(year);
}

static json_t *child_json(const struct pupil_row *p)
{
    json_t *o = json_object();
    json_put(&o, "id", json_id(p->id.v));
    json_put(&o, "display_name", json_string(p->display_name));
    return o;
}

static json_t *children_json(const struct pupil_row *rows, size_t n)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++) {
        json_add(&list, child_json(&rows[i]));
    }
    return list;
}

static json_t *to_json(const struct year_plan *p, const struct year_part *part)
{
    switch (part->to) {
    case YEAR_STAY:
        return json_string("stay");
    case YEAR_LEAVE:
        return json_string("leave");
    case YEAR_GO:
        return json_id(p->classes[part->into].id.v);
    default:
        return json_null();
    }
}

static json_t *part_json(const struct year_plan *p, const struct year_part *part)
{
    bool up = part->to != YEAR_LEAVE && part->year != PUPIL_NO_YEAR && part->year < YEAR_HIGHEST;
    json_t *o = json_object();
    json_put(&o, "year_group", year_json(part->year));
    json_put(&o, "becomes", up ? json_integer(part->year + 1) : json_null());
    json_put(&o, "to", to_json(p, part));
    json_put(&o, "children", children_json(part->children, part->n));
    return o;
}

static json_t *named_json(const struct year_class *c)
{
    json_t *o = json_object();
    json_put(&o, "id", json_id(c->id.v));
    json_put(&o, "name", json_string(c->name));
    return o;
}

static json_t *class_json(const struct year_plan *p, const struct year_class *c)
{
    json_t *parts = json_array(), *o = json_object();
    for (size_t i = 0; i < c->part_count; i++) {
        json_add(&parts, part_json(p, &c->parts[i]));
    }
    json_put(&o, "class", named_json(c));
    json_put(&o, "name", json_string(c->next_name));
    json_put(&o, "archived", json_boolean(c->archive));
    json_put(&o, "parts", parts);
    json_put(&o, "after", json_integer((json_int_t)c->after));
    return o;
}

static json_t *problem_json(const struct year_plan *p, const struct year_problem *b)
{
    json_t *names = json_array(), *o = json_object();
    for (size_t i = 0; i < b->n; i++) {
        json_add(&names, json_string(b->names[i]));
    }
    json_put(&o, "class", json_id(p->classes[b->in].id.v));
    json_put(&o, "year_group", b->part ? year_json(b->part->year) : json_null());
    json_put(&o, "code", json_string(b->code));
    json_put(&o, "names", names);
    return o;
}

static json_t *counts_json(const struct year_plan *p)
{
    json_t *o = json_object();
    json_put(&o, "up", json_integer((json_int_t)p->up));
    json_put(&o, "go", json_integer((json_int_t)p->go));
    json_put(&o, "leave", json_integer((json_int_t)p->leave));
    json_put(&o, "year_not_said", json_integer((json_int_t)p->unsaid));
    return o;
}

json_t *year_plan_json(const struct year_shown *s)
{
    const struct year_plan *p = s->plan;
    json_t *classes = json_array(), *problems = json_array(), *o = json_object();
    for (size_t i = 0; i < p->n; i++) {
        json_add(&classes, class_json(p, &p->classes[i]));
    }
    for (size_t i = 0; i < p->problem_count; i++) {
        json_add(&problems, problem_json(p, &p->problems[i]));
    }
    json_put(&o, "top_year", json_integer(p->top));
    json_put(&o, "on", json_day(p->today));
    json_put(&o, "last_on", json_day_or_null(s->has_last, s->last_day));
    json_put(&o, "classes", classes);
    json_put(&o, "without_class", children_json(p->alone, p->alone_count));
    json_put(&o, "counts", counts_json(p));
    json_put(&o, "problems", problems);
    json_put(&o, "seen", json_string(s->seen));
    return o;
}
