/* Expressions worked out. */
#include "rabbet/shape.h"
#include "shape/expression.h"
#include "shape/step.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* By squaring; pow() may differ in its last bit from one system to the next. */
static double power(double base, int exponent)
{
    double result = 1;

    for (int n = exponent < 0 ? -exponent : exponent; n > 0; n /= 2) {
        if (n % 2 == 1)
            result *= base;
        base *= base;
    }
    return exponent < 0 ? 1 / result : result;
}

/* Has the sign of b, so that it goes round evenly below 0, too. */
static double modulo(double a, double b)
{
    double rest = fmod(a, b);

    return rest != 0 && (rest < 0) != (b < 0) ? rest + b : rest;
}

/* The finishing steps of SplitMix64 (Steele, Lea and Flood, Fast Splittable Pseudorandom Number
 * Generators, OOPSLA 2014; constants: variant 13 of Stafford). */
static uint64_t mix(uint64_t bits)
{
    bits = (bits ^ (bits >> 30)) * 0xBF58476D1CE4E5B9U;
    bits = (bits ^ (bits >> 27)) * 0x94D049BB133111EBU;
    return bits ^ (bits >> 31);
}

/* From 0 up to but not including 1: the upper 53 bits. */
static double random_number(double seed, double k)
{
    uint64_t state = mix((uint64_t)(int64_t)seed + 0x9E3779B97F4A7C15U);

    state = mix(state + (uint64_t)(int64_t)k * 0x9E3779B97F4A7C15U);
    return (double)(state >> 11) * 0x1p-53;
}

static bool is_whole(double value)
{
    return fabs(value) <= 0x1p53 && floor(value) == value;
}

static double one(enum step_kind kind, double a)
{
    switch (kind) {
    case STEP_NOT:
        return a == 0;
    case STEP_NEGATE:
        return -a;
    case STEP_SIN:
        return sin(a);
    case STEP_COS:
        return cos(a);
    case STEP_TAN:
        return tan(a);
    case STEP_ASIN:
        return asin(a);
    case STEP_ACOS:
        return acos(a);
    case STEP_ATAN:
        return atan(a);
    case STEP_SQRT:
        return sqrt(a);
    case STEP_ABS:
        return fabs(a);
    case STEP_FLOOR:
        return floor(a);
    case STEP_CEIL:
        return ceil(a);
    default:
        assert(kind == STEP_ROUND);
        return round(a);
    }
}

static double two(enum step_kind kind, double a, double b)
{
    switch (kind) {
    case STEP_ADD:
        return a + b;
    case STEP_SUBTRACT:
        return a - b;
    case STEP_MULTIPLY:
        return a * b;
    case STEP_DIVIDE:
        return a / b;
    case STEP_EQUAL:
        return a == b;
    case STEP_UNEQUAL:
        return a != b;
    case STEP_LESS:
        return a < b;
    case STEP_LESS_EQUAL:
        return a <= b;
    case STEP_MORE:
        return a > b;
    case STEP_MORE_EQUAL:
        return a >= b;
    case STEP_ATAN2:
        return atan2(a, b);
    case STEP_MIN:
        return a < b ? a : b;
    case STEP_MAX:
        return a > b ? a : b;
    case STEP_HYPOT:
        return hypot(a, b);
    case STEP_MOD:
        return modulo(a, b);
    default:
        assert(kind == STEP_RANDOM);
        return random_number(a, b);
    }
}

/* What an operation cannot take; NULL when all is well. */
static const char *refusal(enum step_kind kind, double a, double b)
{
    switch (kind) {
    case STEP_DIVIDE:
        return b == 0 ? "it divides by 0" : NULL;
    case STEP_MOD:
        return b == 0 ? "its mod() divides by 0" : NULL;
    case STEP_SQRT:
        return a < 0 ? "it takes the root of a number below 0" : NULL;
    case STEP_ASIN:
        return fabs(a) > 1 ? "its asin() gets a number beyond -1 to 1" : NULL;
    case STEP_ACOS:
        return fabs(a) > 1 ? "its acos() gets a number beyond -1 to 1" : NULL;
    case STEP_RANDOM:
        return is_whole(a) && is_whole(b) ? NULL : "its random() gets a number that is not whole";
    case STEP_POWER:
        return a == 0 && b < 0 ? "it divides by 0" : NULL;
    default:
        return NULL;
    }
}

static bool takes_one(enum step_kind kind)
{
    return kind == STEP_NOT || kind == STEP_NEGATE || (kind >= STEP_SIN && kind <= STEP_ATAN) ||
           (kind >= STEP_SQRT && kind <= STEP_ROUND);
}

/* Numbers that arithmetic makes of numbers. */
static bool compute(const struct expression *expression, const struct expression_step *step,
                    int line, double *stack, size_t *count, struct rab_error *err)
{
    const bool single = takes_one(step->kind) || step->kind == STEP_POWER;
    double *a = &stack[*count - (single ? 1 : 2)];
    double b = step->kind == STEP_POWER ? step->value : a[single ? 0 : 1];
    const char *why = refusal(step->kind, *a, b);

    if (!why) {
        if (step->kind == STEP_POWER)
            *a = power(*a, (int)step->value);
        else
            *a = single ? one(step->kind, *a) : two(step->kind, *a, b);
        if (!isfinite(*a))
            why = "its value is too large";
    }
    if (why)
        return rab_fail_line(err, RAB_FAULT_GEOMETRY, line,
                             "\"%.80s\" has no value here: %s; change the measurements",
                             expression->text, why);
    if (!single)
        --*count;
    return true;
}

bool expression_value(const struct expression *expression, int line, const double *slots,
                      double *value, struct rab_error *err)
{
    double stack[EXPRESSION_STACK];
    size_t count = 0;

    for (uint32_t i = 0; i < expression->count; i++) {
        const struct expression_step *step = &expression->steps[i];
        switch (step->kind) {
        case STEP_NUMBER:
        case STEP_WORD:
            stack[count++] = step->value;
            break;
        case STEP_SLOT:
            stack[count++] = slots[step->at];
            break;
        case STEP_JUMP:
            i = step->at - 1;
            break;
        case STEP_UNLESS:
            if (stack[--count] == 0)
                i = step->at - 1;
            break;
        case STEP_AND:
        case STEP_OR:
            if ((stack[count - 1] == 0) == (step->kind == STEP_AND))
                i = step->at - 1;
            else
                count--;
            break;
        default:
            if (!compute(expression, step, line, stack, &count, err))
                return false;
            break;
        }
    }
    assert(count == 1);
    *value = stack[0];
    return true;
}

/* Which choice a word is; the number of choices when it is none. */
static size_t find_choice(const struct rab_parameter *parameter, const char *word)
{
    size_t k = 0;

    while (k < parameter->choice_count && strcmp(parameter->choices[k].name, word) != 0)
        k++;
    return k;
}

bool expression_check_words(const struct expression *expression, int line,
                            const struct rab_parameter *parameter, struct rab_error *err)
{
    for (uint32_t i = 0; i < expression->count; i++) {
        const struct expression_step *step = &expression->steps[i];
        if (step->kind == STEP_WORD &&
            find_choice(parameter, step->word) == parameter->choice_count)
            return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                 "\"%.60s\" cannot be '%.60s'; it is one of '%.60s', '%.60s'%s",
                                 parameter->name, step->word, parameter->choices[0].name,
                                 parameter->choices[1].name,
                                 parameter->choice_count > 2 ? " ..." : "");
    }
    return true;
}

void expression_bind(struct expression *expression, const struct rab_parameter *parameter)
{
    for (uint32_t i = 0; i < expression->count; i++) {
        struct expression_step *step = &expression->steps[i];
        if (step->kind == STEP_WORD)
            step->value = (double)find_choice(parameter, step->word);
    }
}
