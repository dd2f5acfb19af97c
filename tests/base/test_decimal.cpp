// The grammar of decimal numbers that every reader of text shares.

#include <cmath>
#include <string>
#include <string_view>

#include <catch2/catch.hpp>

#include <stile/base/detail/decimal.hpp>

using stile::detail::decimal_end;
using stile::detail::decimal_value;

TEST_CASE("a decimal number ends where its grammar does") {
  const auto taken = [](std::string_view text, bool sign = true) {
    return std::string(text.substr(0, decimal_end(text, 0, sign)));
  };
  for (const char* whole : {"0", "7", "+7", "-7", "1.", ".5", "-.5e3", "1e5", "1E+5", "1.25e-07"}) {
    CHECK(taken(whole) == whole);
  }
  CHECK(taken("1.2.3") == "1.2");
  CHECK(taken("1e") == "1");
  CHECK(taken("1e+") == "1");
  CHECK(taken("14.2MHz") == "14.2");
  CHECK(taken("0x10") == "0");
  CHECK(taken("1,5") == "1");
  for (const char* none : {"", ".", "+", "-.", "e5", "nan", "inf", "--1", " 1"}) CHECK(taken(none).empty());
  CHECK(taken("-1", false).empty());
  CHECK(decimal_end("ab12", 2, true) == 4);
}

TEST_CASE("a decimal number times a power of ten is rounded once") {
  CHECK(decimal_value<double>("7.1", 6) == 7.1e6);
  CHECK(decimal_value<double>("+1.2e1", -7) == 1.2e-6);
  CHECK(decimal_value<double>("1.2") == 1.2);
  CHECK(decimal_value<long double>("0.1") == 0.1L);
  CHECK(std::signbit(*decimal_value<double>("-0")));
  CHECK_FALSE(decimal_value<double>("1e999"));
  CHECK_FALSE(decimal_value<double>("1", 400));
  CHECK_FALSE(decimal_value<double>("1e99999999999999999999"));
  CHECK(decimal_value<double>("1e-400", 200) == 1e-200);
}
