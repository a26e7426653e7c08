#include "shape/nearest.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

enum { LONGEST = 64, SLIPS = 2, FAR = 1000 };

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* How many letters must be changed, added, left out or exchanged with their neighbour (optimal
 * string alignment: Damerau, Communications of the ACM 7/3, 1964; the table: Wagner and Fischer,
 * Journal of the ACM 21/1, 1974). */
static size_t slips(const char *a, const char *b)
{
    size_t rows[3][LONGEST + 1];
    size_t n = strlen(a), m = strlen(b);

    if (n > LONGEST || m > LONGEST)
        return FAR;
    for (size_t j = 0; j <= m; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t *row = rows[i % 3], *above = rows[(i - 1) % 3];
        row[0] = i;
        for (size_t j = 1; j <= m; j++) {
            size_t changed = above[j - 1] + (a[i - 1] != b[j - 1]);
            row[j] = least(changed, least(above[j], row[j - 1]) + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = least(row[j], rows[(i - 2) % 3][j - 2] + 1);
        }
    }
    return rows[n % 3][m];
}

/* Does a whole word of a, as hyphens divide it, stand in b? */
static bool share_word(const char *a, const char *b)
{
    while (*a) {
        size_t length = strcspn(a, "-");
        for (const char *at = b; length > 2 && *at;) {
            size_t other = strcspn(at, "-");
            if (other == length && memcmp(at, a, length) == 0)
                return true;
            at += other + (at[other] == '-');
        }
        a += length + (a[length] == '-');
    }
    return false;
}

static size_t distance(const char *wanted, const char *name)
{
    size_t length = strlen(wanted), far = slips(wanted, name);

    if (far <= SLIPS && far < length)
        return far;
    if (length > 2 && strstr(name, wanted))
        return 3;
    if (share_word(wanted, name))
        return 4;
    return far == 3 && length > 6 ? 5 : FAR;
}

void nearest_look(struct nearest *nearest, const char *name)
{
    size_t far = distance(nearest->wanted, name), at = nearest->count;

    if (far == FAR)
        return;
    while (at > 0 && nearest->distances[at - 1] > far)
        at--;
    if (at == NEAREST_MOST)
        return;
    if (nearest->count < NEAREST_MOST)
        nearest->count++;
    for (size_t i = nearest->count - 1; i > at; i--) {
        nearest->names[i] = nearest->names[i - 1];
        nearest->distances[i] = nearest->distances[i - 1];
    }
    nearest->names[at] = name;
    nearest->distances[at] = far;
}

void nearest_words(const struct nearest *nearest, char *words, size_t size, const char *otherwise)
{
    const char *const *names = nearest->names;
    size_t count = nearest->count;

    /* what is a slip away leaves no room for what is only alike */
    while (count > 1 && nearest->distances[0] <= SLIPS && nearest->distances[count - 1] > SLIPS)
        count--;
    switch (count) {
    case 0:
        snprintf(words, size, "%s", otherwise);
        break;
    case 1:
        snprintf(words, size, "; did you mean %.64s?", names[0]);
        break;
    case 2:
        snprintf(words, size, "; did you mean %.64s or %.64s?", names[0], names[1]);
        break;
    default:
        snprintf(words, size, "; did you mean %.64s, %.64s or %.64s?", names[0], names[1],
                 names[2]);
        break;
    }
}
