/* Edge coding. An interval is predicted from the same slot a turn ago, scaled by how the slot before
 * it changed since then: a disc's slot errors repeat every turn and cancel. All values fit 32 bits,
 * and an edge takes one division. */
#include "coder.h"

#include "messages.h"

#define LONG_INTERVAL UINT32_C(0x100000) /* from here on (4.2 s) an interval is written in full */
#define HISTORY_MAX 0xFFFFU      /* the history's largest value: too long to predict from */
#define UNARY_LIMIT 12
#define ESCAPE (((UINT32_C(1) << UNARY_LIMIT) - 1) << 2)
#define LENGTH_BITS 5
#define RICE_MAX 20
#define SPREAD_BY_LAST 4096U /* 8 times the residual expected at first */
#define SPREAD_BY_TURN 256U

enum escape { RAW, TURNED, END };
enum way { BY_LAST, BY_TURN };

static uint16_t history[MAX_SLOTS + 1]; /* the last turn's intervals and the one before them */
static uint8_t history_size;            /* of which so many are used: slots + 1 */
static uint8_t history_next;            /* where the next goes: on the oldest */
static uint8_t history_held;
static bool direction_forward;

static struct {
    int32_t bias;    /* what the prediction keeps missing, in quarter ticks */
    uint32_t spread; /* 8 times the mean folded residual */
} ways[2];

/* The prediction at work for the interval being coded. */
static uint8_t way;
static int32_t expected;
static uint8_t rice;

void coder_begin(uint8_t slots, bool forward)
{
    history_size = (uint8_t)(slots + 1);
    history_next = history_held = 0;
    direction_forward = forward;
    ways[BY_LAST].bias = ways[BY_TURN].bias = 0;
    ways[BY_LAST].spread = SPREAD_BY_LAST;
    ways[BY_TURN].spread = SPREAD_BY_TURN;
}

static void remember(uint32_t interval)
{
    history[history_next++] = interval < HISTORY_MAX ? (uint16_t)interval : HISTORY_MAX;
    if (history_next == history_size)
        history_next = 0;
    if (history_held < history_size)
        history_held++;
}

/* The interval remembered `back` intervals ago; 1 is the last. */
static uint16_t recall(uint8_t back)
{
    uint8_t at = history_next >= back ? history_next : (uint8_t)(history_next + history_size);
    return history[at - back];
}

/* Divides by shifting and subtracting, for a quotient of so many bits. `rest` starts as the number
 * without its lowest `bits`, and must be less than the divisor. `quotient` starts with these bits at
 * its top. */
static uint16_t divide(uint16_t rest, uint16_t quotient, uint16_t divisor, uint8_t bits)
{
    for (; bits; bits--) {
        bool carry = rest & 0x8000U;
        rest = (uint16_t)(rest << 1);
        if (quotient & 0x8000U)
            rest |= 1;
        quotient = (uint16_t)(quotient << 1);
        if (carry || rest >= divisor) {
            rest = (uint16_t)(rest - divisor);
            quotient |= 1;
        }
    }
    return quotient;
}

/* a * b / divisor, at most `limit`. The compiler's own division always takes 32 steps; here 16 are
 * almost always enough, and 8 when the wheel is fast. */
static uint32_t scale(uint16_t a, uint16_t b, uint16_t divisor, uint32_t limit)
{
    uint32_t product = (uint32_t)a * b;
    if (product >> 8 < divisor)
        return divide((uint16_t)(product >> 8), (uint16_t)(product << 8), divisor, 8);
    if (product >> 16 < divisor)
        return divide((uint16_t)(product >> 16), (uint16_t)product, divisor, 16);
    product /= divisor;
    return product < limit ? product : limit;
}

static bool predict_by_turn(uint16_t last)
{
    if (history_size == 1 || history_held < history_size)
        return false;
    uint16_t before = history[history_next];
    uint16_t turn_ago = recall((uint8_t)(history_size - 1));
    if (before == 0 || before == HISTORY_MAX || turn_ago == HISTORY_MAX || last == HISTORY_MAX)
        return false;
    expected = (int32_t)scale(turn_ago, last, before, LONG_INTERVAL - 1);
    return true;
}

static uint8_t bit_length(uint32_t value)
{
    uint8_t bits = 0;
    for (; value > 0xFF; value >>= 8)
        bits = (uint8_t)(bits + 8);
    for (uint8_t byte = (uint8_t)value; byte; byte >>= 1)
        bits++;
    return bits;
}

/* Sets way, expected and rice; returns the prediction with its bias. Needs a remembered interval. */
static int32_t predict(void)
{
    uint16_t last = recall(1);
    way = BY_TURN;
    if (!predict_by_turn(last)) {
        way = BY_LAST;
        expected = last;
    }
    uint8_t bits = bit_length(ways[way].spread >> 4);
    rice = bits < RICE_MAX ? bits : RICE_MAX;
    int32_t value = expected + (ways[way].bias >> 2); /* an arithmetic shift: rounds down */
    if (value < 0)
        return 0;
    return value < (int32_t)LONG_INTERVAL ? value : (int32_t)LONG_INTERVAL - 1;
}

static void write_in_full(enum escape kind, uint32_t interval, struct code *code)
{
    uint8_t length = interval ? bit_length(interval) : 1;
    code->prefix = (ESCAPE | (uint32_t)kind) << LENGTH_BITS | (uint8_t)(length - 1);
    code->prefix_bits = UNARY_LIMIT + 2 + LENGTH_BITS;
    code->rest = interval;
    code->rest_bits = length;
}

/* A varying shift of 32 bits is slow on an 8-bit processor, and most values fit 16. */
static uint32_t shifted_right(uint32_t value, uint8_t count)
{
    if (value > UINT16_MAX || count > 15)
        return value >> count;
    return (uint16_t)((uint16_t)value >> count);
}

static uint32_t low_bits(uint32_t value, uint8_t count)
{
    if (count > 15)
        return value & ((UINT32_C(1) << count) - 1);
    return (uint16_t)value & ((1U << count) - 1);
}

/* A Rice code of the residual; false if it would grow too long. */
static bool code_residual(uint32_t interval, int32_t value, struct code *code)
{
    int32_t residual = (int32_t)interval - value;
    uint32_t folded = residual >= 0 ? (uint32_t)residual << 1 : ((uint32_t)-residual << 1) - 1;
    uint32_t ones = shifted_right(folded, rice);
    if (ones >= UNARY_LIMIT)
        return false;
    code->prefix = (uint16_t)((2U << ones) - 2); /* so many ones and a zero */
    code->prefix_bits = (uint8_t)(ones + 1);
    code->rest = low_bits(folded, rice);
    code->rest_bits = rice;
    ways[way].spread += folded - (ways[way].spread >> 3);
    ways[way].bias += ((((int32_t)interval - expected) * 4) - ways[way].bias) >> 1;
    return true;
}

/* False if the interval cannot be coded by its prediction. */
static bool code_by_prediction(uint32_t interval, struct code *code)
{
    if (history_held == 0)
        return false;
    int32_t value = predict();
    if (interval < LONG_INTERVAL && code_residual(interval, value, code))
        return true;
    ways[way].spread += ((uint32_t)UNARY_LIMIT << rice) - (ways[way].spread >> 3);
    return false;
}

static void code_turn(uint32_t interval, struct code *code)
{
    direction_forward = !direction_forward;
    history_next = history_held = 0; /* the slots now pass the other way round */
    write_in_full(TURNED, interval, code);
}

void coder_interval(uint32_t interval, bool forward, struct code *code)
{
    if (forward != direction_forward) {
        code_turn(interval, code);
        return;
    }
    if (!code_by_prediction(interval, code))
        write_in_full(RAW, interval, code);
    remember(interval);
}

void coder_end(struct code *code)
{
    code->prefix = ESCAPE | END;
    code->prefix_bits = UNARY_LIMIT + 2;
    code->rest = 0;
    code->rest_bits = 0;
}
