/* Inside app: a QR code as text for a terminal. */
#ifndef DROPWISE_APP_BENCH_QR_H
#define DROPWISE_APP_BENCH_QR_H

#include "dropwise/base.h"

/* Appends the code of `content`, two rows of modules a line (UTF-8 half blocks), light modules drawn, so that
 * it reads on a dark terminal; readers take the reverse on a light one as well. Errors DW_NO_MEMORY,
 * DW_TOO_LARGE */
dw_status dw__qr_text(const char *content, dw_text *out, dw_error *err);

#endif
