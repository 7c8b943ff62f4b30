#ifndef SIMULATOR_INNER_H
#define SIMULATOR_INNER_H

#include "simulator/simulator.h"

extern const double sim__xbar[SIM_BANDS], sim__ybar[SIM_BANDS], sim__zbar[SIM_BANDS], sim__d50[SIM_BANDS];

double sim__nm(int band);
/* Reflectance per band of a slab. */
void sim__slab(const sim_world *world, const double loading[SIM_BOTTLES], double thickness_mm, double backing,
               double out[SIM_BANDS]);
void sim__xyz(const double reflectance[SIM_BANDS], double xyz[3]);
sim_lab sim__lab(const double xyz[3]);
void sim__pigments(sim_world *world);   /* fills base and bottles */
void sim__camera_fit(sim_world *world); /* fills camera_matrix */
void sim__camera_see(const sim_world *world, const double reflectance[SIM_BANDS], const double channel[3],
                     double xyz[3]);

#endif
