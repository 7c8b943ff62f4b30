/* Shared inside core/plan. */
#ifndef DROPWISE_PLAN_BLEND_INNER_H
#define DROPWISE_PLAN_BLEND_INNER_H

/* The share that the second layer has in effect, were it so many times as strongly colored as supposed. */
double dw__share_at_strength(double share, double times);

#endif
