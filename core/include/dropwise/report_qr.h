/* QR codes (ISO/IEC 18004), over libqrencode. */
#ifndef DROPWISE_REPORT_QR_H
#define DROPWISE_REPORT_QR_H

#include "dropwise/base.h"

/* Appends the code of `content` for a terminal, two rows of modules a line (UTF-8 half blocks), light modules
 * drawn, so that it reads on a dark terminal; readers take the reverse on a light one as well.
 * Errors DW_NO_MEMORY, DW_TOO_LARGE */
dw_status dw_text_qr(const char *content, dw_text *out, dw_error *err);
/* The same as one SVG element, black on white, a module one unit wide; its class is "qr".
 * label  what a person who can't see it is told.  Errors as dw_text_qr */
dw_status dw_svg_qr(const char *content, const char *label, dw_text *out, dw_error *err);

#endif
