/* PCG32 (XSH RR 64/32): O'Neill, PCG: A Family of Simple Fast Space-Efficient Statistically Good Algorithms
 * for Random Number Generation, HMC-CS-2014-0905. */
#include "dropwise/numeric.h"

#include <math.h>

static uint32_t next(dw_random *random) {
  uint64_t old = random->state;
  random->state = old * UINT64_C(6364136223846793005) + random->stream;
  uint32_t shifted = (uint32_t)(((old >> 18) ^ old) >> 27), turn = (uint32_t)(old >> 59);
  return (shifted >> turn) | (shifted << ((32 - turn) & 31));
}

dw_random dw_random_seed(uint64_t seed) {
  dw_random random = {0, (54u << 1) | 1u}; /* the stream of the paper's own demonstration */
  next(&random);
  random.state += seed;
  next(&random);
  return random;
}

/* 53 bits, 26 and 27 from two draws, over 2^53. */
double dw_random_uniform(dw_random *random) {
  double high = next(random) >> 5, low = next(random) >> 6;
  return (high * 67108864.0 + low) / 9007199254740992.0;
}

/* Box and Muller 1958; only the cosine of the pair, so that no half result must be kept. */
double dw_random_normal(dw_random *random) {
  double radius = sqrt(-2.0 * log1p(-dw_random_uniform(random)));
  return radius * cos(2.0 * acos(-1.0) * dw_random_uniform(random));
}
