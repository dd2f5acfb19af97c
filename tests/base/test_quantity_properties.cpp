// What a person reads back: every number of every unit survives its own printing.
#include <catch2/catch.hpp>

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <sstream>
#include <string>

#include <rapidcheck.h>

#include <stile/base/quantity.hpp>

using namespace stile;

namespace {

/// A property over random arguments from a fixed start (RC_PARAMS in the environment changes it); a counterexample is
/// shrunk and shown.
template <class Property>
void holds(const std::string& what, Property property) {
  ::setenv("RC_PARAMS", "seed=20250301 max_success=5000", 0);
  const rc::detail::TestResult result = rc::detail::checkTestable(property);
  std::ostringstream text;
  rc::detail::printResultMessage(result, text);
  INFO(what << ": " << text.str());
  CHECK(result.is<rc::detail::SuccessResult>());
}

rc::Gen<Unit> any_unit() {
  return rc::gen::element(Unit::one, Unit::hertz, Unit::ohm, Unit::henry, Unit::farad, Unit::metre, Unit::watt,
                          Unit::volt, Unit::ampere, Unit::second, Unit::decibel);
}

/// Any sign, 1e-300 to 1e300, whole numbers and 0 among them.
rc::Gen<double> any_number() {
  const auto wide = rc::gen::map(
      rc::gen::pair(rc::gen::inRange<std::int64_t>(-9007199254740991, 9007199254740992), rc::gen::inRange(-1040, 940)),
      [](const auto& digits_and_power) {
        return std::ldexp(static_cast<double>(digits_and_power.first), digits_and_power.second);
      });
  const auto whole = rc::gen::map(rc::gen::inRange(-100000, 100001), [](int n) { return static_cast<double>(n); });
  return rc::gen::oneOf(wide, whole);
}

}  // namespace

TEST_CASE("a quantity printed in full reads back as the same double") {
  holds("print with 17 digits then read", [] {
    const double value = *any_number();
    const Unit unit = *any_unit();
    RC_ASSERT(read_quantity(print_quantity(value, unit, 17), unit) == value);
  });
}

TEST_CASE("a quantity printed in short is within half a digit and does not change when printed again") {
  holds("print with few digits then read", [] {
    const double value = *any_number();
    const Unit unit = *any_unit();
    const int digits = *rc::gen::inRange(1, 13);
    const std::string text = print_quantity(value, unit, digits);
    const double read = read_quantity(text, unit);
    RC_ASSERT(std::abs(read - value) <= 0.5000001 * std::pow(10.0, 1 - digits) * std::abs(value));
    RC_ASSERT(print_quantity(read, unit, digits) == text);
  });
}

TEST_CASE("an impedance printed in full reads back as the same number") {
  holds("print an impedance with 17 digits then read", [] {
    const cdouble z{*any_number(), *any_number()};
    RC_ASSERT(read_impedance(print_impedance(z, 17)) == z);
  });
}
