#include <math.h>

#include "rabbet/edge.h"

size_t rab_edge_count(double length, double pitch)
{
    const double ratio = length / pitch;

    if (!(ratio > 1))
        return 1;
    if (ratio > (double)(SIZE_MAX / 4))
        return SIZE_MAX / 4;
    const double whole = floor(ratio);
    return (size_t)whole + (ratio > sqrt(whole * (whole + 1)));
}
