#pragma once
// Air between and around conductors: pressure, density, the voltage that breaks a gap, the field at which a wire glows.

namespace stile::coil {

/// Pressure at sea level to which the laws below refer, Pa.
inline constexpr double sea_level_pa = 101325.0;

/// Pressure of the standard atmosphere, Pa.
/// @param altitude_m  -500..11000
/// @throws DomainError  an altitude outside that
/// Accuracy: 1e-4 of the tabled values (test_air.cpp).
/// Source: ISO 2533:1975, troposphere (formula from memory, values checked).
double air_pressure_pa(double altitude_m);

/// Density of air over that at sea_level_pa and 20 C: pressure over pressure, absolute temperature under absolute
/// temperature.
/// @param pressure_pa  > 0  @param temperature_c  -100..300
/// @throws DomainError
double relative_air_density(double pressure_pa, double temperature_c);

/// Peak voltage that breaks an even gap between smooth plates, V: 24.36 kV x + 6.72 kV sqrt(x), x the gap in cm times
/// the density, never below the 327 V under which no gap in air breaks down. Points and edges break far sooner.
///
/// @param gap_m  above 0, to 0.1  @param air_density  as of relative_air_density, above 0, to 2
/// @throws DomainError
/// Accuracy: 1e-4 of rows by the formula; within 1.2 % of the voltages at which wide standard sphere gaps of 5 to 100
/// mm break down (test_air.cpp). At HF hf_share of it counts at most.
/// Source: E. Kuffel, W. S. Zaengl, J. Kuffel, High
/// Voltage Engineering Fundamentals (from memory); 327 V the measured minimum of air (Paschen; read second-hand).
double spark_voltage_v_peak(double gap_m, double air_density);
inline constexpr double least_spark_v_peak = 327.0;

/// What is left at HF of the voltage that breaks a gap. Source: IEC 60664-4 (from memory).
inline constexpr double hf_share = 0.8;

/// The widest gap that a peak voltage jumps, m: the inverse, without its bounds; 0 below least_spark_v_peak.
/// @param v_peak  >= 0  @param air_density  likewise
/// @throws DomainError
double spark_gap_m(double v_peak, double air_density);

/// Peak field at the surface of a smooth clean wire, a cylinder, at which air begins to glow, V/m:
/// 30 d (1 + 0.301/sqrt(d r)) kV/cm, r in cm.
///
/// @param wire_radius_m  > 0  @param air_density  likewise. Peek's d is 1 at 25 C, 1.7 % more: this one is the cautious
/// side
/// @throws DomainError
/// Source: F. W. Peek, Dielectric Phenomena in High Voltage Engineering, 1929 (from memory).
double corona_field_v_m_peak(double wire_radius_m, double air_density);

}  // namespace stile::coil
