#include "shape/scene.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const char *shape_place(const struct rab_shape *shape)
{
    return shape->file ? shape->file : shape->name;
}

bool scene_fail(struct scene *scene, uint32_t node, const char *format, ...)
{
    const int line = scene_node(scene, node)->line;
    char text[200];
    va_list words;

    va_start(words, format);
    vsnprintf(text, sizeof text, format, words);
    va_end(words);
    return rab_fail_line(scene->run->err, RAB_FAULT_GEOMETRY, line, "%s:%d: %s",
                         shape_place(scene->shape), line, text);
}

bool scene_pass(struct scene *scene, uint32_t node, const struct rab_error *fault)
{
    const int line = fault->line > 0 ? fault->line : scene_node(scene, node)->line;

    if (fault->fault == RAB_FAULT_MEMORY)
        return rab_fail_memory(scene->run->err);
    return rab_fail_line(scene->run->err, fault->fault, line, "%s:%d: %s",
                         shape_place(scene->shape), line, fault->text);
}

bool scene_spend(struct scene *scene, uint32_t node, size_t steps)
{
    struct run *run = scene->run;

    if (steps > MOST_STEPS - run->steps)
        return scene_fail(scene, node,
                          "drawing this takes more than 10 million steps; repeat less often");
    run->steps += steps;
    return true;
}

bool scene_vertices(struct scene *scene, uint32_t node, size_t vertices)
{
    struct run *run = scene->run;

    if (vertices > MOST_VERTICES - run->vertices)
        return scene_fail(scene, node,
                          "drawing this makes more than 2 million corners; repeat less often");
    run->vertices += vertices;
    return true;
}

/* ---- values ------------------------------------------------------------------------------ */

static bool work_out(struct scene *scene, uint32_t node, const struct expression *expression,
                     double *value)
{
    struct rab_error fault = {0};

    if (!scene_spend(scene, node, expression->count))
        return false;
    if (!expression_value(expression, scene_node(scene, node)->line, scene->slots, value, &fault))
        return scene_pass(scene, node, &fault);
    return true;
}

bool scene_has(const struct scene *scene, uint32_t node, enum key key)
{
    return node_attribute(scene->file, node, key) != NULL;
}

bool scene_value_or(struct scene *scene, uint32_t node, enum key key, double usual, double *value)
{
    const struct expression *expression = node_attribute(scene->file, node, key);

    if (!expression) {
        *value = usual;
        return true;
    }
    return work_out(scene, node, expression, value);
}

bool scene_value(struct scene *scene, uint32_t node, enum key key, double *value)
{
    return scene_value_or(scene, node, key, 0, value);
}

bool scene_point(struct scene *scene, uint32_t node, struct rab_point *point)
{
    return scene_value(scene, node, KEY_X, &point->x) && scene_value(scene, node, KEY_Y, &point->y);
}

bool scene_size(struct scene *scene, uint32_t node, enum key key, const char *name, double *value)
{
    if (!scene_value(scene, node, key, value))
        return false;
    if (!(*value > 0))
        return scene_fail(scene, node, "the %s comes out as %s; it must be more than 0", name,
                          words_length(*value).text);
    return true;
}

bool scene_count(struct scene *scene, uint32_t node, enum key key, const char *name, size_t least,
                 size_t *count)
{
    double value;

    if (!scene_value(scene, node, key, &value))
        return false;
    /* A quotient of lengths comes out a trifle beside the whole number that it is. */
    const double whole = round(value);
    if (!(fabs(value - whole) <= 1e-9 * fmax(1, fabs(value))))
        return scene_fail(scene, node,
                          "the number of %s comes out as %s; it must be a whole number (floor, "
                          "ceil and round make one)",
                          name, words_number(value).text);
    if (!(whole >= (double)least))
        return scene_fail(scene, node, "the number of %s comes out as %s; it must be at least %zu",
                          name, words_number(whole).text, least);
    if (whole > MOST_STEPS)
        return scene_fail(scene, node,
                          "the number of %s comes out as %s; it may be at most 10 million", name,
                          words_number(whole).text);
    *count = (size_t)whole;
    return true;
}

bool scene_when(struct scene *scene, uint32_t node, bool *yes)
{
    double value;

    if (!scene_spend(scene, node, 1) || !scene_value_or(scene, node, KEY_WHEN, 1, &value))
        return false;
    *yes = value != 0;
    return true;
}

bool scene_let(struct scene *scene, uint32_t node)
{
    return scene_value(scene, node, KEY_VALUE, &scene->slots[scene_node(scene, node)->slot]);
}

/* ---- constraints ------------------------------------------------------------------------- */

/* What follows "at most" must not come out larger by rounding, or it would be refused when it is
 * given; what follows "at least", not smaller. */
static int rounds_towards(const char *before)
{
    static const struct {
        const char *words;
        int towards;
    } known[] = {{"at most ", -1}, {"less than ", -1}, {"at least ", 1}, {"more than ", 1}};
    const size_t length = strlen(before);

    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        const size_t n = strlen(known[i].words);
        if (length >= n && strcmp(before + length - n, known[i].words) == 0)
            return known[i].towards;
    }
    return 0;
}

/* A value that is shown in so small steps. */
static double rounded(double value, double step, int towards)
{
    const double steps = value / step, slack = 1e-13 * fabs(steps);

    if (towards == 0 || !(fabs(steps) < 1e12))
        return value;
    return (towards < 0 ? floor(steps + slack) : ceil(steps - slack)) * step;
}

static void add_value(struct rab_text *text, const struct scene *scene,
                      const struct message_part *part, double value)
{
    const struct type type = part->type;
    const int towards = rounds_towards(part->words);
    const double degree = RAB_PI / 180;

    if (type.kind == TYPE_CHOICE) {
        const struct rab_parameter *parameter = &scene->shape->parameters[type.choice_slot];
        rab_text_add(text, parameter->choices[(size_t)value].name);
    } else if (type.kind == TYPE_QUANTITY && type.length == 1 && type.angle == 0) {
        rab_text_length(text, rounded(value, 0.01, towards), false, 16);
    } else if (type.kind == TYPE_QUANTITY && type.length == 0 && type.angle == 1) {
        rab_text_add(text, words_angle(rounded(value / degree, 0.0001, towards) * degree).text);
    } else {
        rab_text_add(text, words_number(rounded(value, 0.0001, towards)).text);
    }
}

bool scene_require(struct scene *scene, uint32_t node)
{
    const struct node *n = scene_node(scene, node);
    struct rab_text text = {0};
    double holds;

    if (!scene_value(scene, node, KEY_THAT, &holds))
        return false;
    if (holds != 0)
        return true;
    for (size_t i = 0; i < n->message_count; i++) {
        const struct message_part *part = &n->message[i];
        double value;
        rab_text_add(&text, part->words);
        if (!part->has_value)
            continue;
        if (!work_out(scene, node, &part->value, &value))
            goto done;
        add_value(&text, scene, part, value);
    }
    if (rab_text_ok(&text, scene->run->err))
        rab_fail(scene->run->err, RAB_FAULT_INPUT, "%s: %s", scene->shape->name,
                 text.data ? text.data : "these values do not go together");
done:
    rab_text_clear(&text);
    return false;
}

/* ---- regions ----------------------------------------------------------------------------- */

/* What combining and growing cost, in steps: by the edges, and by how often they come near each
 * other, for each of these may be a crossing. */
enum { EDGE_STEPS = 4, CROSSING_STEPS = 20, NEAR_STEPS = 4 };

static bool affordable(struct scene *scene, uint32_t node, const struct area *a,
                       const struct area *b, double by)
{
    const size_t each = by != 0 ? NEAR_STEPS : CROSSING_STEPS;
    struct rab_error fault = {0};
    size_t pairs;

    if (!scene_spend(scene, node, EDGE_STEPS * (area_vertices(a) + (b ? area_vertices(b) : 0))))
        return false;
    const size_t most = (MOST_STEPS - scene->run->steps) / each;
    if (!area_pairs(a, b, 2 * fabs(by), most, &pairs, &fault))
        return scene_pass(scene, node, &fault);
    if (pairs > most)
        return scene_fail(
            scene, node, "the outlines here cross or pass each other too often; repeat less often");
    return scene_spend(scene, node, each * pairs);
}

bool scene_settle(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_error fault = {0};
    bool worked;

    if (area->part_count < 2)
        return true;
    if (!affordable(scene, node, area, NULL, 0))
        return false;
    if (!area_settle(area, &worked, &fault))
        return scene_pass(scene, node, &fault);
    return !worked || scene_vertices(scene, node, area_vertices(area));
}

bool scene_combine(struct scene *scene, uint32_t node, struct area *a, struct area *b,
                   enum rab_combine how, struct area *out)
{
    struct rab_region first = {0}, second = {0}, made = {0};
    struct rab_error fault = {0};
    bool ok = false;

    if (!scene_settle(scene, node, a) || !scene_settle(scene, node, b) ||
        !affordable(scene, node, a, b, 0))
        return false;
    if (!area_region(a, &first, NULL, &fault) || !area_region(b, &second, NULL, &fault) ||
        !rab_region_combine(&first, &second, how, &made, &fault)) {
        scene_pass(scene, node, &fault);
        goto done;
    }
    if (!scene_vertices(scene, node, rab_region_vertices(&made)))
        goto done;
    if (!area_take_region(out, &made, &fault)) {
        scene_pass(scene, node, &fault);
        goto done;
    }
    ok = true;
done:
    rab_region_clear(&first);
    rab_region_clear(&second);
    rab_region_clear(&made);
    return ok;
}

bool scene_fill(struct scene *scene, uint32_t node, const struct area *area, struct rab_region *out)
{
    struct rab_error fault = {0};
    struct rab_region made = {0};

    if (!affordable(scene, node, area, NULL, 0))
        return false;
    if (!rab_region_fill(area->outlines, area->count, RAB_FILL_NONZERO, &made, &fault))
        return scene_pass(scene, node, &fault);
    if (!scene_vertices(scene, node, rab_region_vertices(&made))) {
        rab_region_clear(&made);
        return false;
    }
    *out = made;
    return true;
}

bool scene_grow(struct scene *scene, uint32_t node, struct area *in, double by, bool pointed,
                struct area *out)
{
    /* Corners down to 11.5 degrees come to a point: sharper than any star that paper keeps. */
    const double longest = 10;
    struct rab_region first = {0}, made = {0};
    struct rab_error fault = {0};
    bool ok = false;

    if (!scene_settle(scene, node, in) || !affordable(scene, node, in, NULL, by))
        return false;
    if (by == 0)
        return area_join(out, in, scene->run->err);
    if (!area_region(in, &first, NULL, &fault) ||
        !rab_region_grow(&first, by, pointed ? RAB_JOIN_MITRE : RAB_JOIN_ROUND, longest, &made,
                         &fault)) {
        scene_pass(scene, node, &fault);
        goto done;
    }
    if (!scene_vertices(scene, node, rab_region_vertices(&made)))
        goto done;
    if (!area_take_region(out, &made, &fault)) {
        scene_pass(scene, node, &fault);
        goto done;
    }
    ok = true;
done:
    rab_region_clear(&first);
    rab_region_clear(&made);
    return ok;
}

/* ---- words ------------------------------------------------------------------------------- */

static struct words words_of(struct rab_text *text)
{
    struct words words = {"?"};

    if (text->data && !text->failed) {
        const size_t n = text->length < sizeof words.text ? text->length : sizeof words.text - 1;
        memcpy(words.text, text->data, n);
        words.text[n] = '\0';
    }
    rab_text_clear(text);
    return words;
}

/* Beyond this a number has no fixed notation (rab_text_fixed) and no meaning here. */
static const double shown = 1e12;

struct words words_length(double mm)
{
    struct rab_text text = {0};

    if (fabs(mm) < shown)
        rab_text_length(&text, mm, false, 16);
    else
        rab_text_add(&text, mm > 0 ? "more than 1,000,000 km" : "less than -1,000,000 km");
    return words_of(&text);
}

static struct words words_rounded(double value, int decimals, const char *unit)
{
    struct rab_text text = {0};

    if (fabs(value) < shown)
        rab_text_fixed(&text, value, decimals);
    else
        rab_text_number(&text, value);
    rab_text_add(&text, unit);
    return words_of(&text);
}

struct words words_fine(double value, const char *unit)
{
    return words_rounded(value, 7, unit);
}

struct words words_number(double value)
{
    return words_rounded(value, 4, "");
}

struct words words_angle(double radians)
{
    return words_rounded(radians * (180 / RAB_PI), 4, " deg");
}
