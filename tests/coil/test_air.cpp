#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/air.hpp>

#include "coil/reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

TEST_CASE("an even gap breaks down as its law says, and within 1.2 % of where wide spheres do") {
  const Table law = coil_reference("uniform_gap.csv"), spheres = coil_reference("sphere_gaps.csv");
  REQUIRE(law.rows.size() == 10);
  for (std::size_t row = 0; row < law.rows.size(); ++row) {
    const double gap_m = 1e-3 * law.number(row, "gap_mm"), v = 1e3 * law.number(row, "Vb_kV_peak_at_1013hPa_20C");
    INFO("gap " << gap_m);
    CHECK(off(spark_voltage_v_peak(gap_m, 1.0), v) <= 1e-4);
    CHECK(off(spark_gap_m(v, 1.0), gap_m) <= 3e-4);
    // Thinner air is a narrower gap.
    CHECK(off(spark_voltage_v_peak(gap_m, 0.7), spark_voltage_v_peak(0.7 * gap_m, 1.0)) <= 1e-12);
    CHECK(off(spark_gap_m(v, 0.7), gap_m / 0.7) <= 3e-4);
  }
  REQUIRE(spheres.rows.size() == 8);
  for (std::size_t row = 0; row < spheres.rows.size(); ++row) {
    INFO("gap " << spheres.number(row, "gap_mm"));
    CHECK(off(spark_voltage_v_peak(1e-3 * spheres.number(row, "gap_mm"), 1.0),
              1e3 * spheres.number(row, "v_kv_peak")) <= 0.012);
  }
  CHECK(spark_voltage_v_peak(1e-6, 1.0) == 327.0);
  CHECK(spark_gap_m(326.0, 1.0) == 0.0);
  CHECK(spark_gap_m(327.0, 1.0) > 0.0);
  CHECK_THROWS_AS(spark_voltage_v_peak(0.0, 1.0), DomainError);
  CHECK_THROWS_AS(spark_voltage_v_peak(0.2, 1.0), DomainError);
  CHECK_THROWS_AS(spark_voltage_v_peak(0.01, 0.0), DomainError);
  CHECK_THROWS_AS(spark_gap_m(-1.0, 1.0), DomainError);
}

TEST_CASE("pressure of the standard atmosphere, and density at a temperature") {
  const Table air = coil_reference("altitude.csv");
  REQUIRE(air.rows.size() == 11);
  for (std::size_t row = 0; row < air.rows.size(); ++row) {
    const double h = air.number(row, "altitude_m");
    INFO(h);
    CHECK(off(air_pressure_pa(h), 1e3 * air.number(row, "pressure_kPa")) <= 1e-4);
  }
  CHECK(air_pressure_pa(0.0) == sea_level_pa);
  CHECK(std::abs(relative_air_density(101325.0, 20.0) - 1.0) <= 1e-12);
  // 1.225 and 0.7364 kg/m3 at 15 C and -17.5 C of the standard atmosphere, 1.2041 at 20 C (from memory).
  CHECK(relative_air_density(air_pressure_pa(0.0), 15.0) == Approx(1.225 / 1.2041).epsilon(1e-3));
  CHECK(relative_air_density(air_pressure_pa(5000.0), -17.5) == Approx(0.7364 / 1.2041).epsilon(1e-3));
  CHECK_THROWS_AS(air_pressure_pa(12000.0), DomainError);
  CHECK_THROWS_AS(relative_air_density(0.0, 20.0), DomainError);
  CHECK(relative_air_density(101325.0, 300.0) == Approx(293.15 / 573.15).epsilon(1e-12));
  CHECK_THROWS_AS(relative_air_density(1e5, 300.001), DomainError);
}

TEST_CASE("a wire glows at the field of Peek's law") {
  CHECK(corona_field_v_m_peak(0.01, 1.0) ==
        Approx(3.903e6));  // 30 (1 + 0.301) kV/cm at 1 cm, by hand; the law from memory
  // By hand: 30 * 0.7 (1 + 0.301/sqrt(0.7 * 0.05)) = 21 * 2.608912 = 54.7872 kV/cm at 0.5 mm in air of density 0.7.
  CHECK(std::abs(corona_field_v_m_peak(0.5e-3, 0.7) - 5.47872e6) <= 10.0);
  CHECK(corona_field_v_m_peak(0.001, 0.7) < corona_field_v_m_peak(0.001, 1.0));
  CHECK_THROWS_AS(corona_field_v_m_peak(0.0, 1.0), DomainError);
}
