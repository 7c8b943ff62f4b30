/* A shelf from the inside. Shared inside core/mix. */
#ifndef POURTONE_MIX_SHELF_H
#define POURTONE_MIX_SHELF_H

#include "pourtone/mix.h"

/* A bottle with nothing known yet but its name: strength 1, the usual drop. */
pt_bottle pt__bottle_blank(const char *id, const char *title, pt_role role);

/* Typical clear plastisol: nearly clear, faintly yellow, faintly cloudy. */
pt_spectra pt__base_typical(void);

const char *pt__role_name(pt_role role); /* "color", "brown", ... */
bool pt__role_find(const char *name, pt_role *out);

#endif
