/* The requests that every plugin is held to the contract on: usual ones, and those that are easily forgotten.
 */
#ifndef DROPWISE_ADVISE_CONTRACT_REQUESTS_H
#define DROPWISE_ADVISE_CONTRACT_REQUESTS_H

#include "dropwise/advise.h"

extern const size_t dw__contract_requests; /* how many there are */
const char *dw__contract_request_name(size_t i);
/* The bottles that request i is asked with; *out the caller's. */
dw_status dw__contract_shelf(size_t i, dw_shelf **out, dw_error *err);
/* Request i, for every plugin; borrows the shelf. */
dw_status dw__contract_request(size_t i, const dw_shelf *shelf, dw_advice_request *out, dw_error *err);

#endif
