/* For static analysis alone, included before every file: what dw_fail and dw_fail_memory return, which their declarations
 * do not say, so that no path is followed on which something failed and the status is DW_OK. */
#ifndef DROPWISE_TESTS_ANALYZE_H
#define DROPWISE_TESTS_ANALYZE_H

#include "dropwise/base.h"

#define dw_fail(err, code, ...) ((void)(dw_fail)((err), (code), __VA_ARGS__), (code))
#define dw_fail_memory(err, what) ((void)(dw_fail_memory)((err), (what)), DW_NO_MEMORY)

#endif
