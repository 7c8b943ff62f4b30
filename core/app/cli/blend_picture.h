/* The pictures that blend writes. */
#ifndef DROPWISE_APP_CLI_BLEND_PICTURE_H
#define DROPWISE_APP_CLI_BLEND_PICTURE_H

#include "app/cli/cli.h"
#include "dropwise/report_blend.h"

/* Writes --svg and --png, in the outline of --outline or of a bait found in --outline-from; with shares of --shares,
 * or of that bait where it has as many layers.
 * then  beside it, or NULL
 * Errors DW_USAGE options of a picture without one; DW_NOT_FOUND no such bait in the photo; as dw_find_read */
dw_status cli_blend_pictures(const cli_args *args, const dw_shelf *shelf, const dw_blends *now,
                             const dw_blends *then, dw_error *err);

#endif
