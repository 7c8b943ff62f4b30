/* A shelf from the inside. Shared inside core/mix. */
#ifndef POURTONE_MIX_SHELF_H
#define POURTONE_MIX_SHELF_H

#include "pourtone/mix.h"

/* Typical clear plastisol: nearly clear, faintly yellow, faintly cloudy. */
pt_spectra pt__base_typical(void);

#endif
