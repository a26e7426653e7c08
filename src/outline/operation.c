#include "rabbet/outline.h"

#include <assert.h>

static const struct {
    const char *name, *layer;
} operations[RAB_OPERATIONS] = {
    [RAB_CUT] = {"Cutting", "CUTTING"},      [RAB_PART_CUT] = {"PartialCutting", "PARTIALCUTTING"},
    [RAB_CREASE] = {"Creasing", "CREASING"}, [RAB_PERFORATE] = {"Perforating", "PERFORATING"},
    [RAB_DRAW] = {"Drawing", "DRAWING"},     [RAB_GLUE] = {"Gluing", "GLUING"},
};

const char *rab_operation_name(enum rab_operation operation)
{
    assert((int)operation >= 0 && operation < RAB_OPERATIONS);
    return operations[operation].name;
}

const char *rab_operation_layer(enum rab_operation operation)
{
    assert((int)operation >= 0 && operation < RAB_OPERATIONS);
    return operations[operation].layer;
}
