#pragma once
// Physical constants, SI. Exact ones are exact by the SI definition of 2019 (BIPM, The International System of
// Units, 9th edition, 2019); mu0 is the measured CODATA 2018 value (Tiesinga et al., Rev. Mod. Phys. 93, 025010, 2021).

#include <numbers>

namespace stile {

inline constexpr double pi = std::numbers::pi;
inline constexpr double two_pi = 2.0 * pi;
inline constexpr double speed_of_light_m_s = 299792458.0;  // exact
inline constexpr double mu0_h_m = 1.25663706212e-6;        // CODATA 2018
inline constexpr double eps0_f_m = 1.0 / (mu0_h_m * speed_of_light_m_s * speed_of_light_m_s);
inline constexpr double eta0_ohm = mu0_h_m * speed_of_light_m_s;  // 376.730 ohm
inline constexpr double metre_per_foot = 0.3048;                  // exact
inline constexpr double metre_per_inch = 0.0254;                  // exact
inline constexpr double db_per_neper = 8.685889638065036553;      // 20/ln 10
inline constexpr double db_per_s_unit = 6.0;  // IARU Region 1, Technical Recommendation R.1 (1981): 6 dB a step

}  // namespace stile
