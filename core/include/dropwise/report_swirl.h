/* Swirls, for a person. */
#ifndef DROPWISE_REPORT_SWIRL_H
#define DROPWISE_REPORT_SWIRL_H

#include "dropwise/read_swirl.h"
#include "dropwise/report.h"

/* names, targets  as many as the swirl has colors, or NULL */
void dw_text_swirls(const dw_swirls *swirls, const char *const *names, const dw_lab *targets,
                    const dw_style *style, dw_text *out);

#endif
