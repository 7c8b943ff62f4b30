/* What was found in a photo, for a person. */
#ifndef DROPWISE_REPORT_FOUND_H
#define DROPWISE_REPORT_FOUND_H

#include "dropwise/read_find.h"
#include "dropwise/report.h"

void dw_text_found(const dw_found *found, const dw_style *style, dw_text *out);

#endif
