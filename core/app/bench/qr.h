/* Inside app: a QR code as text for a terminal. */
#ifndef POURTONE_APP_BENCH_QR_H
#define POURTONE_APP_BENCH_QR_H

#include "pourtone/base.h"

/* Appends the code of `content`, two rows of modules a line (UTF-8 half blocks), light modules drawn, so that
 * it reads on a dark terminal; readers take the reverse on a light one as well. Errors PT_NO_MEMORY,
 * PT_TOO_LARGE */
pt_status pt__qr_text(const char *content, pt_text *out, pt_error *err);

#endif
