// The constants of physics and of units against their printed digits.

#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/constants.hpp>

using namespace stile;

TEST_CASE("constants have their printed digits") {
  // CODATA 2018 (Tiesinga et al., Rev. Mod. Phys. 93, 025010, 2021, table XXXI), half a unit of the last digit printed.
  CHECK(speed_of_light_m_s == 299792458.0);
  CHECK(std::abs(mu0_h_m - 1.25663706212e-6) <= 0.5e-17);
  CHECK(std::abs(eps0_f_m - 8.8541878128e-12) <= 0.5e-22);
  CHECK(std::abs(eta0_ohm - 376.730313668) <= 0.5e-9 + 376.73 * 0.5e-17 / 1.2566e-6);  // mu0 has twelve digits
  // A foot and an inch are exact (international yard and pound agreement, 1959).
  CHECK(metre_per_foot == 0.3048);
  CHECK(metre_per_inch == 0.0254);
  CHECK(std::abs(db_per_neper - 20.0 / std::log(10.0)) <= 1e-14);
  CHECK(db_per_s_unit == 6.0);  // IARU Region 1, Technical Recommendation R.1, 1981
  CHECK(std::abs(pi - std::acos(-1.0)) <= 1e-15);
  CHECK(two_pi == 2.0 * pi);
}
