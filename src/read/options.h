/*
 * The options that all readers share.
 */
#ifndef RABBET_READ_OPTIONS_H
#define RABBET_READ_OPTIONS_H

#include "rabbet/read.h"

/* Err: INPUT when one is out of range. options may be NULL. */
bool options_check(const struct rab_read_options *options, struct rab_error *err);

#endif
