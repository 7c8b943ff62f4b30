/* What the HTML reports share. */
#ifndef POURTONE_REPORT_HTML_H
#define POURTONE_REPORT_HTML_H

#include "pourtone/report.h"

/* From the doctype to the heading, with the style sheet. */
void pt__html_begin(const char *title, pt_text *out);
void pt__html_color(pt_lab lab, pt_text *out); /* "#8a5a2b" */

#endif
