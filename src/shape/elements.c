/* Which element is drawn by what, and those that combine what lies in them. */
#include "shape/scene.h"

/* NOLINTBEGIN(misc-no-recursion): no deeper than the elements of a file */

static bool combine(struct scene *scene, uint32_t node, struct area *area)
{
    const enum rab_combine how =
        scene_node(scene, node)->tag == TAG_INTERSECTION ? RAB_INTERSECTION : RAB_DIFFERENCE;
    struct area first = {0}, rest = {0}, made = {0};
    bool begun = false, ok = false;

    for (uint32_t i = scene_node(scene, node)->first; i != NO_NODE;
         i = scene_node(scene, i)->next) {
        bool drawn;
        if (!element_draw(scene, i, begun ? &rest : &first, &drawn))
            goto done;
        if (!drawn || !begun) {
            begun = begun || drawn;
            continue;
        }
        if (how == RAB_DIFFERENCE) /* all that is taken away is taken away at once */
            continue;
        if (!scene_combine(scene, node, &first, &rest, how, &made))
            goto done;
        area_clear(&first);
        area_clear(&rest);
        first = made;
        made = (struct area){0};
    }
    if (how == RAB_DIFFERENCE && rest.count > 0)
        ok = scene_combine(scene, node, &first, &rest, how, area);
    else
        ok = scene_settle(scene, node, &first) && area_join(area, &first, scene->run->err);
done:
    area_clear(&first);
    area_clear(&rest);
    area_clear(&made);
    return ok;
}

static bool unite(struct scene *scene, uint32_t node, struct area *area)
{
    struct area made = {0};
    const bool ok = elements_draw(scene, scene_node(scene, node)->first, &made) &&
                    scene_settle(scene, node, &made) && area_join(area, &made, scene->run->err);

    area_clear(&made);
    return ok;
}

static bool grow(struct scene *scene, uint32_t node, struct area *area)
{
    struct area made = {0};
    double by;
    const bool ok = scene_value(scene, node, KEY_BY, &by) &&
                    elements_draw(scene, scene_node(scene, node)->first, &made) &&
                    scene_grow(scene, node, &made, by, scene_node(scene, node)->pointed, area);

    area_clear(&made);
    return ok;
}

static bool draw_path(struct scene *scene, uint32_t node, struct area *area)
{
    struct rab_outline made = {0};
    const bool ok =
        steps_draw(scene, node, &made) && lines_take(&area->lines, &made, scene->run->err);

    rab_outline_clear(&made);
    return ok;
}

bool element_draw(struct scene *scene, uint32_t node, struct area *area, bool *drawn)
{
    bool yes;

    if (!scene_when(scene, node, &yes))
        return false;
    if (drawn)
        *drawn = yes && scene_node(scene, node)->tag != TAG_LET;
    if (!yes)
        return true;
    switch (scene_node(scene, node)->tag) {
    case TAG_LET:
        return scene_let(scene, node);
    case TAG_UNION:
        return unite(scene, node, area);
    case TAG_INTERSECTION:
    case TAG_DIFFERENCE:
        return combine(scene, node, area);
    case TAG_GROW:
        return grow(scene, node, area);
    case TAG_MOVE:
    case TAG_TURN:
    case TAG_MIRROR:
    case TAG_REPEAT:
    case TAG_ROW:
    case TAG_AROUND:
    case TAG_GRID:
    case TAG_ALONG:
        return placing_draw(scene, node, area);
    case TAG_USE:
        return use_draw(scene, node, area);
    case TAG_OUTLINE:
        return outline_draw(scene, node, area);
    case TAG_PATH:
        return draw_path(scene, node, area);
    default:
        return primitive_draw(scene, node, area);
    }
}

bool elements_draw(struct scene *scene, uint32_t first, struct area *area)
{
    for (uint32_t i = first; i != NO_NODE; i = scene_node(scene, i)->next)
        if (!element_draw(scene, i, area, NULL))
            return false;
    return true;
}

/* NOLINTEND(misc-no-recursion) */
