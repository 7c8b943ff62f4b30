/* Drops on a white table, for a person. */
#ifndef DROPWISE_REPORT_DRIZZLE_H
#define DROPWISE_REPORT_DRIZZLE_H

#include "dropwise/batch_drizzle.h"
#include "dropwise/report.h"

/* judged  or NULL */
void dw_text_drizzle(const dw_drizzle *drizzle, const dw_drops_judged *judged, const dw_style *style,
                     dw_text *out);

#endif
