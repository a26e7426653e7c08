/* The whole library. One header a room; each compiles alone. */
#ifndef RABBET_RABBET_H
#define RABBET_RABBET_H

#include "base.h"
#include "edge.h"
#include "frame.h"
#include "job.h"
#include "outline.h"
#include "plan.h"
#include "read.h"
#include "region.h"
#include "shape.h"
#include "write.h"

#endif
