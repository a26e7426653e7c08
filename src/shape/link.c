#include "shape/link.h"

#include "shape/nearest.h"
#include "shape/reader.h"

#include <stdlib.h>
#include <string.h>

struct use {
    uint32_t from, to; /* shapes by their place */
    uint32_t node;
    int line;
};
struct linking {
    struct rab_shape *const *shapes;
    size_t count;
    struct use *uses;
    size_t use_count, use_capacity;
    struct rab_error *err;
};

size_t link_place(struct rab_shape *const *shapes, size_t count, const char *name, bool *found)
{
    size_t low = 0, high = count;

    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (strcmp(shapes[middle]->name, name) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    *found = low < count && strcmp(shapes[low]->name, name) == 0;
    return low;
}

static bool fail(struct linking *linking, size_t shape, const struct rab_error *fault)
{
    const struct rab_shape *found = linking->shapes[shape];

    return reader_fail(found->file ? found->file : found->name, fault, linking->err);
}

/* ---- what is set ---- */

static bool same_choices(const struct rab_parameter *a, const struct rab_parameter *b)
{
    if (a->choice_count != b->choice_count)
        return false;
    for (size_t i = 0; i < a->choice_count; i++)
        if (strcmp(a->choices[i].name, b->choices[i].name) != 0)
            return false;
    return true;
}

static bool check_kind(const struct rab_shape *user, const struct attribute *attribute,
                       const struct rab_parameter *parameter, struct rab_error *err)
{
    struct type wanted = TYPE_NUMBER;

    switch (parameter->kind) {
    case RAB_CHOICE:
        if (attribute->type.kind == TYPE_WORD)
            return expression_check_words(&attribute->expression, attribute->line, parameter, err);
        if (attribute->type.kind == TYPE_CHOICE &&
            same_choices(&user->parameters[attribute->type.choice_slot], parameter))
            return true;
        return rab_fail_line(err, RAB_FAULT_INPUT, attribute->line,
                             "to=\"%.60s\" cannot be \"%.60s\", a choice; give one of its words in "
                             "quotes, like '%.60s'",
                             attribute->expression.text, parameter->name,
                             parameter->choices[0].name);
    case RAB_LENGTH:
        wanted = TYPE_LENGTH;
        break;
    case RAB_ANGLE:
        wanted = TYPE_ANGLE;
        break;
    case RAB_YES_NO:
        wanted = (struct type){TYPE_TRUTH, 0, 0, 0};
        break;
    case RAB_COUNT:
    case RAB_RATIO:
        break;
    }
    if (type_fits(attribute->type, wanted))
        return true;
    return rab_fail_line(err, RAB_FAULT_INPUT, attribute->line,
                         "to=\"%.60s\" is %s; \"%.60s\" is %s", attribute->expression.text,
                         type_words(attribute->type), parameter->name, type_words(wanted));
}

static bool check_set(const struct rab_shape *user, const struct node *set,
                      const struct rab_shape *used, struct rab_error *err)
{
    const struct shape_file *file = user->content;
    struct nearest nearest = {.wanted = set->text};
    char advice[256];

    for (size_t i = 0; i < used->parameter_count; i++) {
        if (strcmp(used->parameters[i].name, set->text) == 0)
            return check_kind(user, &file->attributes[set->attributes], &used->parameters[i], err);
        nearest_look(&nearest, used->parameters[i].name);
    }
    nearest_words(&nearest, advice, sizeof advice, "");
    return rab_fail_line(err, RAB_FAULT_INPUT, set->line, "\"%.64s\" has no parameter \"%.64s\"%s",
                         used->name, set->text, advice);
}

static bool check_sets(const struct rab_shape *user, uint32_t use, const struct rab_shape *used,
                       struct rab_error *err)
{
    const struct node *nodes = user->content->nodes;

    for (uint32_t i = nodes[use].first; i != NO_NODE; i = nodes[i].next) {
        if (nodes[i].tag != TAG_SET)
            continue;
        for (uint32_t k = nodes[use].first; k != i; k = nodes[k].next)
            if (nodes[k].tag == TAG_SET && strcmp(nodes[k].text, nodes[i].text) == 0)
                return rab_fail_line(err, RAB_FAULT_INPUT, nodes[i].line,
                                     "\"%.64s\" is set twice; set it once", nodes[i].text);
        if (!check_set(user, &nodes[i], used, err))
            return false;
    }
    return true;
}

/* ---- uses ---- */

static bool find_used(struct linking *linking, const struct node *use, size_t *place,
                      struct rab_error *err)
{
    struct nearest nearest = {.wanted = use->text};
    char advice[256];
    bool found;

    *place = link_place(linking->shapes, linking->count, use->text, &found);
    if (found && linking->shapes[*place]->motif)
        return rab_fail_line(err, RAB_FAULT_INPUT, use->line,
                             "\"%.64s\" is an edge motif; <use> takes shapes", use->text);
    if (found)
        return true;
    for (size_t i = 0; i < linking->count; i++)
        if (!linking->shapes[i]->motif)
            nearest_look(&nearest, linking->shapes[i]->name);
    nearest_words(&nearest, advice, sizeof advice, "");
    return rab_fail_line(err, RAB_FAULT_INPUT, use->line, "there is no shape \"%.64s\"%s",
                         use->text, advice);
}

static bool link_use(struct linking *linking, size_t from, uint32_t node)
{
    const struct rab_shape *user = linking->shapes[from];
    const struct node *use = &user->content->nodes[node];
    struct rab_error fault = {0};
    void *uses = linking->uses;
    size_t to = 0;

    if (!find_used(linking, use, &to, &fault) ||
        !check_sets(user, node, linking->shapes[to], &fault))
        return fail(linking, from, &fault);
    if (!rab_reserve(&uses, &linking->use_capacity, linking->use_count + 1, sizeof *linking->uses,
                     linking->err))
        return false;
    linking->uses = uses;
    linking->uses[linking->use_count++] =
        (struct use){(uint32_t)from, (uint32_t)to, node, use->line};
    return true;
}

/* Each round carries depths one use further, so nine tell whether eight are enough. */
static bool check_depth(struct linking *linking)
{
    unsigned char *depths = calloc(linking->count + 1, 1);
    bool changed = true;
    bool ok = true;

    if (!depths)
        return rab_fail_memory(linking->err);
    while (changed && ok) {
        changed = false;
        for (size_t i = 0; i < linking->use_count && ok; i++) {
            const struct use *use = &linking->uses[i];
            if (depths[use->from] > depths[use->to])
                continue;
            depths[use->from] = (unsigned char)(depths[use->to] + 1);
            changed = true;
            if (depths[use->from] > SHAPE_USES_DEEP) {
                struct rab_error fault = {0};
                rab_fail_line(&fault, RAB_FAULT_INPUT, use->line,
                              "shapes use each other in a circle, or more than %d deep",
                              SHAPE_USES_DEEP);
                ok = fail(linking, use->from, &fault);
            }
        }
    }
    free(depths);
    return ok;
}

/* Words that are set get their numbers, now that nothing can fail any more. */
static void bind_words(const struct rab_shape *user, const struct rab_shape *used, uint32_t use)
{
    const struct node *nodes = user->content->nodes;

    for (uint32_t i = nodes[use].first; i != NO_NODE; i = nodes[i].next) {
        struct attribute *to = &user->content->attributes[nodes[i].attributes];
        size_t at = 0;
        if (nodes[i].tag != TAG_SET || to->type.kind != TYPE_WORD)
            continue;
        while (strcmp(used->parameters[at].name, nodes[i].text) != 0)
            at++;
        expression_bind(&to->expression, &used->parameters[at]);
    }
}

bool link_shapes(struct rab_shape *const *shapes, size_t count, struct rab_error *err)
{
    struct linking linking = {.shapes = shapes, .count = count, .err = err};
    bool ok = true;

    for (size_t i = 0; i < count && ok; i++) {
        const struct shape_file *file = shapes[i]->content;
        for (size_t k = 0; k < file->node_count && ok; k++)
            ok = file->nodes[k].tag != TAG_USE || link_use(&linking, i, (uint32_t)k);
    }
    ok = ok && check_depth(&linking);
    for (size_t i = 0; i < linking.use_count && ok; i++)
        bind_words(shapes[linking.uses[i].from], shapes[linking.uses[i].to], linking.uses[i].node);
    free(linking.uses);
    return ok;
}
