#include "clipper.h"

#include <cmath>
#include <exception>
#include <polyclipping/clipper.hpp>

struct clipper_paths {
    ClipperLib::Paths paths;
};

template <typename Work> static clipper_paths *guarded(Work work)
{
    clipper_paths *made = nullptr;
    try {
        made = new clipper_paths;
        work(made->paths);
        return made;
    } catch (const std::exception &) {
        delete made;
        return nullptr;
    }
}

extern "C" {

clipper_paths *clipper_new(void)
{
    return guarded([](ClipperLib::Paths &) {});
}

void clipper_free(clipper_paths *paths)
{
    delete paths;
}

void clipper_add(clipper_paths *paths, const double *xy, size_t count, double scale)
{
    ClipperLib::Path path;
    path.reserve(count);
    for (size_t i = 0; i < count; i++)
        path.emplace_back(static_cast<ClipperLib::cInt>(std::llround(xy[2 * i] * scale)),
                          static_cast<ClipperLib::cInt>(std::llround(xy[2 * i + 1] * scale)));
    paths->paths.push_back(path);
}

clipper_paths *clipper_grow(const clipper_paths *paths, double distance, double arc_tolerance)
{
    return guarded([=](ClipperLib::Paths &out) {
        ClipperLib::ClipperOffset offset(2.0, arc_tolerance);
        offset.AddPaths(paths->paths, ClipperLib::jtRound, ClipperLib::etClosedPolygon);
        offset.Execute(out, distance);
    });
}

clipper_paths *clipper_union(const clipper_paths *a, const clipper_paths *b)
{
    return guarded([=](ClipperLib::Paths &out) {
        ClipperLib::Clipper clipper;
        clipper.AddPaths(a->paths, ClipperLib::ptSubject, true);
        clipper.AddPaths(b->paths, ClipperLib::ptClip, true);
        clipper.Execute(ClipperLib::ctUnion, out, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
    });
}

double clipper_area(const clipper_paths *paths)
{
    double area = 0;
    for (const ClipperLib::Path &path : paths->paths)
        area += ClipperLib::Area(path);
    return area;
}

size_t clipper_vertices(const clipper_paths *paths)
{
    size_t count = 0;
    for (const ClipperLib::Path &path : paths->paths)
        count += path.size();
    return count;
}

const char *clipper_version(void)
{
    return CLIPPER_VERSION;
}
}
