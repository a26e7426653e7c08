/* The same numbers on every run: splitmix64, Steele, Lea and Flood, OOPSLA 2014. */
#ifndef TESTS_OUTLINE_RANDOM_H
#define TESTS_OUTLINE_RANDOM_H

#include <math.h>
#include <stdint.h>

struct random {
    uint64_t state;
};

static inline uint64_t random_bits(struct random *random)
{
    uint64_t z = random->state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

static inline double random_between(struct random *random, double low, double high)
{
    return low + (high - low) * ((double)(random_bits(random) >> 11) * 0x1p-53);
}

static inline int random_below(struct random *random, int n)
{
    return (int)(random_bits(random) % (uint64_t)n);
}

/* Evenly spread over the powers of ten, either sign. */
static inline double random_size(struct random *random, double low, double high)
{
    const double size = exp(random_between(random, log(low), log(high)));
    return random_below(random, 2) ? size : -size;
}

#endif
