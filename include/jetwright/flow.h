/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file flow.h
 * One orifice, nozzle or mixture passage. Knows numbers, not carburetors.
 */
#ifndef JETWRIGHT_FLOW_H
#define JETWRIGHT_FLOW_H

#include <jetwright/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Finest bore of a passage, m: a finer one is none. */
#define JW_LEAST_BORE_M 1e-6

/** A drilled passage. */
typedef struct jw_orifice {
	double diameter_m;  /**< 0 = no passage */
	double length_m;    /**< of the calibrated bore */
	double coefficient; /**< measured discharge coefficient; 0 takes the law of ::jw_discharge_coefficient */
} jw_orifice;

/** A liquid as an orifice sees it: 1..1e5 kg/m3, 1e-9..1 m2/s. */
typedef struct jw_liquid_flow {
	double density_kg_m3, viscosity_m2_s;
} jw_liquid_flow;

/** A gas as an orifice sees it. */
typedef struct jw_gas {
	double temperature_k, gas_constant_j_kg_k, viscosity_pa_s;
} jw_gas;

/** Bore area, m2, by geometry. */
JW_API double jw_orifice_area(const jw_orifice *orifice);

/** Discharge coefficient of a short bore (Lichtarowicz, Duggins and Markland, J. Mech. Eng. Sci. 7 (1965) 210), fitted
 * for Re 10..2e4 and L/d 2..10. Outside, Re is continued by the same form and L/d below 2 is read as 2 (a bore that may
 * not reattach: 0.61..0.80).
 * \param reynolds hydraulic: d sqrt(2 dp/rho)/nu, >= 0
 * \param length_ratio length over diameter, >= 0
 * \param[out] cd 0 at Re = 0
 * \return JW_OK, JW_W_EXTRAPOLATED, JW_E_RANGE for a negative or non-finite argument */
JW_API jw_status jw_discharge_coefficient(double reynolds, double length_ratio, double *cd);

/** Mass flow of liquid through a drilled passage, Cd A sqrt(2 rho dp), the coefficient stated or by
 * ::jw_discharge_coefficient (Heywood 1988, 7.2).
 * \param drop_pa any; what flows has its sign, and is 0 without a bore
 * \return JW_OK, JW_W_EXTRAPOLATED, or JW_E_RANGE where an argument that is used is not finite or negative */
JW_API jw_status jw_liquid_mass_flow(const jw_orifice *orifice, const jw_liquid_flow *liquid, double drop_pa,
                                     double *kg_s);

/** Pressure drop that drives a given liquid flow, the inverse of ::jw_liquid_mass_flow (Heywood 1988, 7.2).
 * \param orifice of a bore ::JW_LEAST_BORE_M..1 m
 * \param kg_s -1000..1000; the drop has its sign
 * \return JW_OK, JW_W_EXTRAPOLATED, JW_E_RANGE, JW_E_NOT_FINITE, JW_E_NO_ROOT, JW_E_NO_CONVERGENCE */
JW_API jw_status jw_liquid_drop(const jw_orifice *orifice, const jw_liquid_flow *liquid, double kg_s, double *drop_pa,
                                jw_error *error);

/** Bore that passes a given liquid flow at a given drop, length kept: what a bench flow says of a jet (the inverse of
 * ::jw_liquid_mass_flow; Heywood 1988, 7.2).
 * \param drop_pa above 0
 * \param kg_s above 0
 * \return JW_OK, JW_W_EXTRAPOLATED, JW_E_RANGE (flow or drop not positive, or no bore of 0.02..20 mm fits) */
JW_API jw_status jw_bore_for_liquid_flow(const jw_orifice *shape, const jw_liquid_flow *liquid, double drop_pa, double kg_s,
                                         double *diameter_m, jw_error *error);

/** Darcy friction factor of a smooth round pipe from its Reynolds number: one formula through laminar flow (64/Re),
 * transition and turbulence (Churchill, Chemical Engineering 84 (1977) 91).
 * \param reynolds by the mean speed, above 0; not checked */
JW_API double jw_friction_factor(double reynolds);

/** Pressure that a flow of liquid loses along a smooth pipe or hose (Darcy and Weisbach with ::jw_friction_factor), Pa;
 * has the sign of the flow. Leaves out what ends and bends take.
 * \param bore_m ::JW_LEAST_BORE_M..1
 * \param length_m 0..1000
 * \param kg_s -1000..1000
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_pipe_drop(double bore_m, double length_m, const jw_liquid_flow *liquid, double kg_s,
                              double *drop_pa, jw_error *error);

/** Mass flow of gas through an effective area (Cd A) by the isentropic nozzle, gamma 1.4, choking included (Heywood
 * 1988, app. C); negative when the downstream pressure is the higher one.
 * \param upstream_pa above 0, as the area is; not checked
 * \param downstream_pa 0 or above
 * \return JW_OK or JW_W_CHOKED */
JW_API jw_status jw_gas_mass_flow(double effective_area_m2, const jw_gas *gas, double upstream_pa, double downstream_pa,
                                  double *kg_s);

/** Gas through a drilled passage: the coefficient stated or by ::jw_discharge_coefficient at the hydraulic Reynolds
 * number, then ::jw_gas_mass_flow (Heywood 1988, app. C); 0 without a bore.
 * \param upstream_pa above 0; not checked
 * \param downstream_pa 0 or above
 * \return JW_OK, JW_W_CHOKED, JW_W_EXTRAPOLATED, or JW_E_RANGE where an argument that is used is not finite or negative */
JW_API jw_status jw_gas_orifice_flow(const jw_orifice *orifice, const jw_gas *gas, double upstream_pa,
                                     double downstream_pa, double *kg_s);

/** Largest gas flow of an effective area, kg/s: choked (Heywood 1988, app. C).
 * \param upstream_pa above 0, as the area is; not checked */
JW_API double jw_gas_choked_flow(double effective_area_m2, const jw_gas *gas, double upstream_pa);

/** Largest gas flow of two effective areas in series, the speed lost between them, kg/s: whichever chokes (the
 * isentropic nozzle twice; Heywood 1988, app. C).
 * \param first_area_m2 above 0; not checked
 * \param second_area_m2 0 or above */
JW_API double jw_gas_choked_series(double first_area_m2, double second_area_m2, const jw_gas *gas, double upstream_pa);

/** Pressure downstream of an effective area that passes a given flow, on the subsonic branch: the inverse of
 * ::jw_gas_mass_flow (Heywood 1988, app. C).
 * \param kg_s any; 0 or below leaves the upstream pressure
 * \return JW_OK, JW_W_CHOKED (flow at or above the choked one: the critical pressure is returned) */
JW_API jw_status jw_gas_downstream_pressure(double effective_area_m2, const jw_gas *gas, double upstream_pa, double kg_s,
                                            double *downstream_pa);

/** Critical pressure ratio (2/(gamma+1))^(gamma/(gamma-1)) (Heywood 1988, app. C).
 * \param gamma ratio of specific heats, above 1; not checked */
JW_API double jw_critical_pressure_ratio(double gamma);

/** Ratio of compressible to incompressible mass flow at one pressure ratio (Heywood 1988, 7.2).
 * \param pressure_ratio downstream over upstream, 0..1; below the critical one that is taken
 * \param gamma ratio of specific heats, above 1; not checked */
JW_API double jw_compressibility_factor(double pressure_ratio, double gamma);

/** Expansibility factor of an orifice meter (ISO 5167-2:2003).
 * \param diameter_ratio of orifice to pipe, 0..1
 * \param pressure_ratio downstream over upstream, 0.75..1; not checked
 * \param gamma ratio of specific heats, above 1 */
JW_API double jw_orifice_expansibility(double diameter_ratio, double pressure_ratio, double gamma);

/** Expansibility factor of a nozzle or venturi (ISO 5167-3:2003).
 * \param diameter_ratio of throat to pipe, 0..1
 * \param pressure_ratio downstream over upstream, 0.75..1; not checked
 * \param gamma ratio of specific heats, above 1 */
JW_API double jw_nozzle_expansibility(double diameter_ratio, double pressure_ratio, double gamma);

/** Emulsion of gas and liquid, frozen, the gas expanding isothermally. */
typedef struct jw_emulsion {
	double quality;             /**< gas mass / total mass, 0..1 */
	double liquid_density_kg_m3;
	double gas_rt_j_kg;         /**< R T of the gas */
	int slip;                   /**< 0: carried at one speed (homogeneous); 1: the gas runs ahead by the root of liquid over
	                                 mixture density upstream (Chisholm, Two-phase Flow in Pipelines and Heat Exchangers, 1983,
	                                 form from memory) */
} jw_emulsion;

/** Density of a homogeneous emulsion, kg/m3: by definition, mass over the volumes of both (Chisholm 1983).
 * \param pressure_pa above 0; not checked */
JW_API double jw_emulsion_density(const jw_emulsion *emulsion, double pressure_pa);

/** Volume fraction of gas, 0..1, in a homogeneous emulsion: by definition (Chisholm 1983).
 * \param pressure_pa above 0; not checked */
JW_API double jw_void_fraction(const jw_emulsion *emulsion, double pressure_pa);

/** Mixture viscosity, Pa s: 1/mu = x/mu_gas + (1-x)/mu_liquid (McAdams, Woods and Heroman, Trans. ASME 64 (1942) 193,
 * from memory).
 * \param quality x: gas mass over total mass, 0..1; not checked */
JW_API double jw_mixture_viscosity(double quality, double gas_pa_s, double liquid_pa_s);

/** Mass flow of an emulsion through an effective area, choking at the maximum of mass flux; frozen, the gas isothermal
 * (the momentum of the mixture along the passage, Chisholm 1983). Quality 0 is the liquid law without compressibility,
 * quality 1 the isothermal nozzle.
 * \param upstream_pa above downstream_pa, and that above 0; else nothing flows
 * \return JW_OK or JW_W_CHOKED */
JW_API jw_status jw_emulsion_mass_flow(double effective_area_m2, const jw_emulsion *emulsion, double upstream_pa,
                                       double downstream_pa, double *kg_s);

/** How a partly blocked bore is described. */
typedef enum jw_restriction_kind {
	JW_FILM,          /**< deposit of a thickness, m: the bore falls by twice that */
	JW_BLOCKED_AREA,  /**< share of the bore's area that is shut, 0..1 */
	JW_FLOW_SHARE     /**< share of the clean flow that still passes, 0..1, at a stated drop and liquid */
} jw_restriction_kind;

/** A restriction said in all three ways, and the clean bore that would pass as much. */
typedef struct jw_restriction {
	double film_m, blocked_area, flow_share; /**< see ::jw_restriction_kind */
	double diameter_m; /**< of the bore that is left */
} jw_restriction;

/** Converts one description of a restriction into all of them at a drop, for a liquid, by ::jw_liquid_mass_flow
 * (definition of the shares; Heywood 1988, 7.2). Smaller bores lose coefficient as well as area, so the flow share
 * depends on drop and viscosity.
 * \param clean of a bore ::JW_LEAST_BORE_M..1 m
 * \param amount as its kind says: film m, up to half the bore; blocked area and flow share 0..1
 * \param drop_pa 1e-3..1e7
 * \return JW_OK, JW_W_EXTRAPOLATED, JW_E_RANGE, JW_E_NOT_FINITE, JW_E_ARGUMENT (unknown kind) */
JW_API jw_status jw_restrict(const jw_orifice *clean, jw_restriction_kind kind, double amount,
                             const jw_liquid_flow *liquid, double drop_pa, jw_restriction *result, jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
