/* A shelf from the inside. Shared inside core/mix. */
#ifndef DROPWISE_MIX_SHELF_H
#define DROPWISE_MIX_SHELF_H

#include "dropwise/mix.h"

/* Typical clear plastisol: nearly clear, faintly yellow, faintly cloudy. */
dw_spectra dw__base_typical(void);

#endif
