#include <catch2/catch.hpp>

#include <clocale>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include <stile/base/quantity.hpp>

using stile::cdouble;
using stile::ParseError;
using stile::print_impedance;
using stile::print_quantity;
using stile::read_impedance;
using stile::read_quantity;
using stile::Unit;

namespace {

constexpr double nan_value = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

const std::vector<Unit> every_unit = {Unit::one,      Unit::hertz,  Unit::ohm,     Unit::henry,
                                      Unit::farad,    Unit::metre,  Unit::watt,    Unit::volt,
                                      Unit::ampere,   Unit::second, Unit::decibel, Unit::siemens_per_metre,
                                      Unit::kilogram, Unit::degree};

void check_quantity_error(const std::string& text, Unit unit, std::size_t column, const std::string& message) {
  INFO("text <" << text << ">");
  try {
    const double value = read_quantity(text, unit);
    FAIL("was read as " << value);
  } catch (const ParseError& error) {
    CHECK(error.where.column == column);
    CHECK(std::string(error.what()) == "column " + std::to_string(column) + ": " + message);
  }
}

void check_impedance_error(const std::string& text, std::size_t column, const std::string& message) {
  INFO("text <" << text << ">");
  try {
    const cdouble value = read_impedance(text);
    FAIL("was read as " << value.real() << " " << value.imag());
  } catch (const ParseError& error) {
    CHECK(error.where.column == column);
    CHECK(std::string(error.what()) ==
          "column " + std::to_string(column) + ": " + message + "; legal: ohm in the form 12-230j, 50 or -230j");
  }
}

/// A double of random sign and size: 10^-15 to 10^12, the whole range where text is met.
double random_value(std::mt19937_64& random) {
  const double size = std::pow(10.0, std::uniform_real_distribution<double>(-15.0, 12.0)(random));
  return std::bernoulli_distribution(0.5)(random) ? size : -size;
}

}  // namespace

TEST_CASE("a bare number is SI") {
  CHECK(read_quantity("14200000", Unit::hertz) == 14.2e6);
  CHECK(read_quantity("1.2e-6", Unit::henry) == 1.2e-6);
  CHECK(read_quantity("0.1", Unit::one) == 0.1);
  CHECK(read_quantity("+5", Unit::one) == 5.0);
  CHECK(read_quantity("-3", Unit::decibel) == -3.0);
  CHECK(read_quantity(".5", Unit::one) == 0.5);
  CHECK(read_quantity("5.", Unit::one) == 5.0);
  CHECK(read_quantity("2E3", Unit::one) == 2000.0);
  CHECK(read_quantity("0", Unit::ohm) == 0.0);
  CHECK(std::signbit(read_quantity("-0", Unit::one)));
  CHECK(read_quantity("5e-324", Unit::one) == 5e-324);
}

TEST_CASE("each unit takes its prefixes") {
  struct Row {
    Unit unit;
    std::string symbol;
    double value;
  };
  const std::vector<Row> rows = {
      {Unit::hertz, "Hz", 3.0},
      {Unit::hertz, "kHz", 3e3},
      {Unit::hertz, "MHz", 3e6},
      {Unit::hertz, "GHz", 3e9},
      {Unit::ohm, "mohm", 3e-3},
      {Unit::ohm, "ohm", 3.0},
      {Unit::ohm, "kohm", 3e3},
      {Unit::ohm, "Mohm", 3e6},
      {Unit::henry, "pH", 3e-12},
      {Unit::henry, "nH", 3e-9},
      {Unit::henry, "uH", 3e-6},
      {Unit::henry, "mH", 3e-3},
      {Unit::henry, "H", 3.0},
      {Unit::farad, "fF", 3e-15},
      {Unit::farad, "pF", 3e-12},
      {Unit::farad, "nF", 3e-9},
      {Unit::farad, "uF", 3e-6},
      {Unit::farad, "mF", 3e-3},
      {Unit::farad, "F", 3.0},
      {Unit::metre, "um", 3e-6},
      {Unit::metre, "mm", 3e-3},
      {Unit::metre, "cm", 3e-2},
      {Unit::metre, "m", 3.0},
      {Unit::metre, "km", 3e3},
      {Unit::metre, "ft", 0.9144},
      {Unit::metre, "in", 0.0762},
      {Unit::watt, "uW", 3e-6},
      {Unit::watt, "mW", 3e-3},
      {Unit::watt, "W", 3.0},
      {Unit::watt, "kW", 3e3},
      {Unit::volt, "uV", 3e-6},
      {Unit::volt, "mV", 3e-3},
      {Unit::volt, "V", 3.0},
      {Unit::volt, "kV", 3e3},
      {Unit::ampere, "uA", 3e-6},
      {Unit::ampere, "mA", 3e-3},
      {Unit::ampere, "A", 3.0},
      {Unit::second, "ns", 3e-9},
      {Unit::second, "us", 3e-6},
      {Unit::second, "ms", 3e-3},
      {Unit::second, "s", 3.0},
      {Unit::decibel, "dB", 3.0},
      {Unit::siemens_per_metre, "mS/m", 3e-3},
      {Unit::siemens_per_metre, "S/m", 3.0},
      {Unit::kilogram, "g", 3e-3},
      {Unit::kilogram, "kg", 3.0},
      {Unit::degree, "deg", 3.0},
  };
  for (const Row& row : rows) {
    INFO(row.symbol);
    CHECK(read_quantity("3" + row.symbol, row.unit) == row.value);
    CHECK(read_quantity(" 3 \t" + row.symbol + " ", row.unit) == row.value);
    // no other quantity takes the symbol: a length is never a frequency
    for (Unit other : every_unit)
      if (other != row.unit) CHECK_THROWS_AS(read_quantity("3" + row.symbol, other), ParseError);
  }
}

TEST_CASE("a prefix costs no accuracy") {
  CHECK(read_quantity("1.2uH", Unit::henry) == 1.2e-6);
  CHECK(read_quantity("14.2MHz", Unit::hertz) == 14.2e6);
  CHECK(read_quantity("0.1pF", Unit::farad) == 0.1e-12);
  CHECK(read_quantity("1.1e3pF", Unit::farad) == 1.1e-9);
  CHECK(read_quantity("7e-3kohm", Unit::ohm) == 7.0);
  CHECK(read_quantity("1e+2um", Unit::metre) == 1e-4);
  for (int i = 1; i < 10000; ++i) {
    const std::string digits = std::to_string(i);
    REQUIRE(read_quantity(digits + "pF", Unit::farad) == std::stod(digits + "e-12"));
    REQUIRE(read_quantity(digits + "uH", Unit::henry) == std::stod(digits + "e-6"));
  }
}

TEST_CASE("feet and inches are exact multiples of the metre") {
  CHECK(read_quantity("8ft", Unit::metre) == 2.4384);
  CHECK(read_quantity("1 in", Unit::metre) == 0.0254);
  CHECK(read_quantity("0.5in", Unit::metre) == 0.0127);
  CHECK(read_quantity("12in", Unit::metre) == read_quantity("1ft", Unit::metre));
  std::mt19937_64 random(3048);
  for (int i = 0; i < 20000; ++i) {
    const std::string text = std::to_string(std::uniform_int_distribution<int>(1, 99999999)(random)) + "e-4";
    const long double expected = std::strtold(text.c_str(), nullptr) * 3048.0L / 10000.0L;
    const double value = read_quantity(text + "ft", Unit::metre);
    const double ulp = std::nextafter(value, infinity) - value;
    INFO(text);
    REQUIRE(std::abs(static_cast<double>(static_cast<long double>(value) - expected)) <= 2.5 * ulp);
  }
}

TEST_CASE("both micro signs and both omegas are read") {
  CHECK(read_quantity("1.2\u00B5H", Unit::henry) == 1.2e-6);
  CHECK(read_quantity("1.2 \u03BCH", Unit::henry) == 1.2e-6);
  CHECK(read_quantity("50\u03A9", Unit::ohm) == 50.0);
  CHECK(read_quantity("50 \u2126", Unit::ohm) == 50.0);
  CHECK(read_quantity("4.7k\u03A9", Unit::ohm) == 4700.0);
  CHECK(read_quantity("5m\u2126", Unit::ohm) == 0.005);
}

TEST_CASE("the locale does not matter") {
  const std::string before = std::setlocale(LC_ALL, nullptr);
  std::setlocale(LC_ALL, "de_DE.UTF-8");  // where it is installed the decimal sign of C is a comma
  CHECK(read_quantity("1.5", Unit::one) == 1.5);
  CHECK(print_quantity(1.5, Unit::one) == "1.5");
  CHECK_THROWS_AS(read_quantity("1,5", Unit::one), ParseError);
  std::setlocale(LC_ALL, before.c_str());
}

TEST_CASE("an unknown unit is refused with the legal ones") {
  check_quantity_error("14.2mHz", Unit::hertz, 5,
                       "\"14.2mHz\": no such unit \"mHz\"; legal: Hz kHz MHz GHz (m is milli, M is mega)");
  check_quantity_error("14.2 mhz", Unit::hertz, 6,
                       "\"14.2 mhz\": no such unit \"mhz\"; legal: Hz kHz MHz GHz (case matters: MHz)");
  check_quantity_error("50 Ohm", Unit::ohm, 4,
                       "\"50 Ohm\": no such unit \"Ohm\"; legal: mohm ohm kohm Mohm (case matters: ohm)");
  check_quantity_error("5MW", Unit::watt, 2, "\"5MW\": no such unit \"MW\"; legal: uW mW W kW (m is milli, M is mega)");
  check_quantity_error("5 parsec", Unit::metre, 3, "\"5 parsec\": no such unit \"parsec\"; legal: um mm cm m km ft in");
  check_quantity_error("5\u00B5\u03A9", Unit::ohm, 2,
                       "\"5\u00B5\u03A9\": no such unit \"\u00B5\u03A9\"; legal: mohm ohm kohm Mohm");
  check_quantity_error("5e", Unit::volt, 2, "\"5e\": no such unit \"e\"; legal: uV mV V kV");
  check_quantity_error("3kdB", Unit::decibel, 2, "\"3kdB\": no such unit \"kdB\"; legal: dB");
  check_quantity_error("58 MS/m", Unit::siemens_per_metre, 4,
                       "\"58 MS/m\": no such unit \"MS/m\"; legal: mS/m S/m (m is milli, M is mega)");
}

TEST_CASE("a unit of another quantity is refused by name") {
  check_quantity_error("5W", Unit::hertz, 2, "\"5W\": \"W\" is not a unit of frequency; legal: Hz kHz MHz GHz");
  check_quantity_error(" 8 ft ", Unit::henry, 4, "\"8 ft\": \"ft\" is not a unit of inductance; legal: pH nH uH mH H");
  check_quantity_error("5m", Unit::second, 2, "\"5m\": \"m\" is not a unit of time; legal: ns us ms s");
  check_quantity_error("5s", Unit::ampere, 2, "\"5s\": \"s\" is not a unit of current; legal: uA mA A");
  check_quantity_error("5m", Unit::siemens_per_metre, 2,
                       "\"5m\": \"m\" is not a unit of conductivity; legal: mS/m S/m");
  check_quantity_error("5S/m", Unit::metre, 2, "\"5S/m\": \"S/m\" is not a unit of length; legal: um mm cm m km ft in");
  check_quantity_error("5V", Unit::farad, 2, "\"5V\": \"V\" is not a unit of capacitance; legal: fF pF nF uF mF F");
}

TEST_CASE("a plain number takes no unit") {
  check_quantity_error("200 ohm", Unit::one, 5,
                       "\"200 ohm\": unexpected \"ohm\" after the number; legal: a number without unit");
}

TEST_CASE("what is not a number is refused") {
  const std::string legal = "; legal: a number, then nothing or one of uW mW W kW";
  check_quantity_error("", Unit::watt, 1, "\"\": a number is missing" + legal);
  check_quantity_error("  ", Unit::watt, 3, "\"\": a number is missing" + legal);
  check_quantity_error("W", Unit::watt, 1, "\"W\": not a number" + legal);
  check_quantity_error(" -W", Unit::watt, 2, "\"-W\": not a number" + legal);
  check_quantity_error("+-5", Unit::watt, 1, "\"+-5\": not a number" + legal);
  check_quantity_error("++5", Unit::watt, 1, "\"++5\": not a number" + legal);
  check_quantity_error("- 5", Unit::watt, 1, "\"- 5\": not a number" + legal);
  check_quantity_error(".", Unit::watt, 1, "\".\": not a number" + legal);
  check_quantity_error("e5", Unit::watt, 1, "\"e5\": not a number" + legal);
  for (const std::string word : {"nan", "NaN", "inf", "-inf", "+Infinity", "nan(1)"})
    check_quantity_error(word, Unit::watt, 1, "\"" + word + "\": not a finite number" + legal);
  for (const std::string word : {"0x10", "0X1p3", "-0x10"})
    check_quantity_error(word, Unit::watt, 1, "\"" + word + "\": hexadecimal is not read" + legal);
}

TEST_CASE("text after the number or the unit is refused") {
  const std::string legal = "; legal: a number, then nothing or one of uV mV V kV";
  check_quantity_error("1,5V", Unit::volt, 2, "\"1,5V\": unexpected \",5V\" after the number" + legal);
  check_quantity_error("1.2.3", Unit::volt, 4, "\"1.2.3\": unexpected \".3\" after the number" + legal);
  check_quantity_error("1 2", Unit::volt, 3, "\"1 2\": unexpected \"2\" after the number" + legal);
  check_quantity_error("5V 3 ", Unit::volt, 4, "\"5V 3\": unexpected \"3\" after the unit");
  CHECK_THROWS_AS(read_quantity(std::string_view("5\0V", 3), Unit::volt), ParseError);
}

TEST_CASE("a number too large or too small for arithmetic is refused") {
  const std::string message = ": the number is too large or too small; legal: 0 and sizes from 5e-324 to 1.7e308";
  check_quantity_error("1e309", Unit::one, 1, "\"1e309\"" + message);
  check_quantity_error(" -1e400", Unit::one, 2, "\"-1e400\"" + message);
  check_quantity_error("1e-400", Unit::one, 1, "\"1e-400\"" + message);
  check_quantity_error("1e300GHz", Unit::hertz, 1, "\"1e300GHz\"" + message);
  check_quantity_error("1e99999999999999999999", Unit::one, 1, "\"1e99999999999999999999\"" + message);
  check_quantity_error("1e2000000000", Unit::one, 1, "\"1e2000000000\"" + message);
  check_quantity_error("1e308ft", Unit::metre, 1, "\"1e308ft\"" + message);
}

TEST_CASE("an error counts its column from where the text stands") {
  try {
    read_quantity(" 5 parsec", Unit::metre, {"station.toml", 4, 11});
    FAIL("no error");
  } catch (const ParseError& error) {
    CHECK(error.where.file == "station.toml");
    CHECK(error.where.line == 4);
    CHECK(error.where.column == 14);
    CHECK(std::string(error.what()).rfind("station.toml:4:14: \"5 parsec\": no such unit", 0) == 0);
  }
}

TEST_CASE("impedances are read") {
  CHECK(read_impedance("12-230j") == cdouble(12.0, -230.0));
  CHECK(read_impedance("50") == cdouble(50.0, 0.0));
  CHECK(read_impedance("-230j") == cdouble(0.0, -230.0));
  CHECK(read_impedance("+230j") == cdouble(0.0, 230.0));
  CHECK(read_impedance("1e3+2.5e-1j") == cdouble(1000.0, 0.25));
  CHECK(read_impedance("1e-3-2e+2j") == cdouble(0.001, -200.0));
  CHECK(read_impedance(" 12 - 230j ") == cdouble(12.0, -230.0));
  CHECK(read_impedance("-5+0j") == cdouble(-5.0, 0.0));
  CHECK(read_impedance("12-230j ohm") == cdouble(12.0, -230.0));
  CHECK(read_impedance("12-230johm") == cdouble(12.0, -230.0));
  CHECK(read_impedance("50ohm") == cdouble(50.0, 0.0));
  CHECK(read_impedance("50 \u03A9") == cdouble(50.0, 0.0));
  CHECK(read_impedance("-230j\u2126 ") == cdouble(0.0, -230.0));
}

TEST_CASE("what is not an impedance is refused") {
  check_impedance_error("", 1, "\"\": a number is missing");
  check_impedance_error("ohm", 1, "\"ohm\": not a number");
  check_impedance_error("nan", 1, "\"nan\": not a finite number");
  check_impedance_error("12+infj", 4, "\"12+infj\": not a finite number");
  check_impedance_error("0x10", 1, "\"0x10\": hexadecimal is not read");
  check_impedance_error("j50", 1, "\"j50\": j stands behind its number");
  check_impedance_error("-j50", 2, "\"-j50\": j stands behind its number");
  check_impedance_error("12 + j230", 6, "\"12 + j230\": j stands behind its number");
  check_impedance_error("12-j", 4, "\"12-j\": j stands behind its number");
  check_impedance_error("12-230i", 7, "\"12-230i\": the imaginary unit is written j, not i");
  check_impedance_error("12-230J", 7, "\"12-230J\": the imaginary unit is written j, not J");
  check_impedance_error("5i", 2, "\"5i\": the imaginary unit is written j, not i");
  check_impedance_error("12+i230", 4, "\"12+i230\": the imaginary unit is written j, not i");
  check_impedance_error("12-230", 7, "\"12-230\": j is missing after the imaginary part");
  check_impedance_error("12-230 j", 7, "\"12-230 j\": j is missing after the imaginary part");
  check_impedance_error("12+", 4, "\"12+\": a number is missing");
  check_impedance_error("12--5j", 4, "\"12--5j\": not a number");
  check_impedance_error("12 230j", 4, "\"12 230j\": unexpected \"230j\"");
  check_impedance_error("12j+5", 4, "\"12j+5\": unexpected \"+5\"");
  check_impedance_error("5 kohm", 3, "\"5 kohm\": unexpected \"kohm\"");
  check_impedance_error("5 Ohm", 3, "\"5 Ohm\": unexpected \"Ohm\"");
  check_impedance_error("12-230j ohm x", 9, "\"12-230j ohm x\": unexpected \"ohm x\"");
  CHECK_THROWS_WITH(
      read_impedance("1+1e999j", {"--load", 0, 0}),
      "--load: column 3: \"1+1e999j\": the number is too large or too small; legal: 0 and sizes from 5e-324 "
      "to 1.7e308");
}

TEST_CASE("quantities are printed with the prefix that fits") {
  CHECK(print_quantity(7.1e6, Unit::hertz) == "7.1 MHz");
  CHECK(print_quantity(470e-12, Unit::farad) == "470 pF");
  CHECK(print_quantity(470e-12, Unit::farad, 2) == "470 pF");
  CHECK(print_quantity(476e-12, Unit::farad, 1) == "500 pF");
  CHECK(print_quantity(0.0, Unit::ohm) == "0 ohm");
  CHECK(print_quantity(-0.0, Unit::farad) == "0 F");
  CHECK(print_quantity(-3.2, Unit::decibel) == "-3.2 dB");
  CHECK(print_quantity(0.001, Unit::siemens_per_metre) == "1 mS/m");
  CHECK(print_quantity(5.0, Unit::siemens_per_metre) == "5 S/m");
  CHECK(print_quantity(1.23456e-6, Unit::henry) == "1.235 uH");
  CHECK(print_quantity(-0.0123, Unit::ampere) == "-12.3 mA");
  CHECK(print_quantity(1.0, Unit::watt) == "1 W");
  CHECK(print_quantity(1000.0, Unit::watt) == "1 kW");
  CHECK(print_quantity(999.0, Unit::watt) == "999 W");
}

TEST_CASE("rounding that reaches a thousand takes the next prefix") {
  CHECK(print_quantity(999.96e3, Unit::hertz) == "1 MHz");
  CHECK(print_quantity(999.94e3, Unit::hertz) == "999.9 kHz");
  CHECK(print_quantity(999.96e3, Unit::hertz, 5) == "999.96 kHz");
  CHECK(print_quantity(0.99999, Unit::volt) == "1 V");
  CHECK(print_quantity(999.99, Unit::ampere) == "1000 A");
}

TEST_CASE("no prefix is printed that cannot be read") {
  CHECK(print_quantity(0.2, Unit::hertz) == "0.2 Hz");
  CHECK(print_quantity(5e12, Unit::hertz) == "5000 GHz");
  CHECK(print_quantity(1500.0, Unit::ampere) == "1500 A");
  CHECK(print_quantity(2e-5, Unit::ohm) == "0.02 mohm");
  CHECK(print_quantity(2e-10, Unit::ohm) == "2e-7 mohm");
  CHECK(print_quantity(1.25e20, Unit::watt) == "1.25e17 kW");
  CHECK(print_quantity(12346.0, Unit::decibel) == "12350 dB");
  CHECK(print_quantity(0.0012, Unit::decibel) == "0.0012 dB");
  CHECK(print_quantity(12346.0, Unit::one) == "12350");
  CHECK(print_quantity(12345.0, Unit::one) == "12340");  // a tie goes to the even digit
  CHECK(print_quantity(0.00012, Unit::one) == "0.00012");
  CHECK(print_quantity(0.0, Unit::one) == "0");
}

TEST_CASE("a power of ten is written below 1e-5 and from 1e9 on") {
  CHECK(print_quantity(1e-5, Unit::one) == "0.00001");
  CHECK(print_quantity(1.25e-5, Unit::one) == "0.0000125");
  CHECK(print_quantity(9.9e-6, Unit::one) == "9.9e-6");
  CHECK(print_quantity(2e-6, Unit::decibel) == "2e-6 dB");
  CHECK(print_quantity(999999999.0, Unit::one, 9) == "999999999");
  CHECK(print_quantity(123.4e6, Unit::one) == "123400000");
  CHECK(print_quantity(1e9, Unit::one) == "1e9");
  CHECK(print_quantity(1.5e9, Unit::one) == "1.5e9");
  CHECK(print_quantity(3e18, Unit::hertz) == "3e9 GHz");
  CHECK(print_impedance({1e-5, -1e9}) == "0.00001-1e9j");
}

TEST_CASE("lengths are printed without centimetres and feet") {
  CHECK(print_quantity(0.024, Unit::metre) == "24 mm");
  CHECK(print_quantity(2.4384, Unit::metre) == "2.438 m");
  CHECK(print_quantity(0.5, Unit::metre) == "500 mm");
  CHECK(print_quantity(42.3e3, Unit::metre) == "42.3 km");
  CHECK(print_quantity(3e-5, Unit::metre) == "30 um");
}

TEST_CASE("values that are not finite are printed without unit") {
  CHECK(print_quantity(infinity, Unit::ohm) == "inf");
  CHECK(print_quantity(-infinity, Unit::decibel) == "-inf");
  CHECK(print_quantity(nan_value, Unit::one) == "nan");
  CHECK(print_impedance({infinity, -infinity}) == "inf-infj");
}

TEST_CASE("impedances are printed") {
  CHECK(print_impedance({12.0, -230.0}) == "12-230j");
  CHECK(print_impedance({0.5, 0.0}) == "0.5+0j");
  CHECK(print_impedance({0.5, -0.0}) == "0.5+0j");
  CHECK(print_impedance({-1.23456, 1058.04}) == "-1.235+1058j");
  CHECK(print_impedance({0.901341261765, 56.9707403637}, 6) == "0.901341+56.9707j");
  CHECK(print_impedance({1e12, 1e-9}) == "1e12+1e-9j");
}

TEST_CASE("digits outside one to seventeen throw") {
  for (int digits : {-1, 0, 18}) {
    CHECK_THROWS_AS(print_quantity(1.0, Unit::watt, digits), stile::DomainError);
    CHECK_THROWS_AS(print_impedance({1.0, 1.0}, digits), stile::DomainError);
  }
}

TEST_CASE("what is printed reads back within its digits and at seventeen exactly") {
  std::mt19937_64 random(20240611);
  for (int i = 0; i < 2000; ++i) {
    const double value = random_value(random);
    for (Unit unit : every_unit) {
      const std::string full = print_quantity(value, unit, 17);
      INFO(full);
      REQUIRE(read_quantity(full, unit) == value);
      for (int digits : {1, 3, 4, 9}) {
        const std::string text = print_quantity(value, unit, digits);
        INFO(text);
        // half a step of the last digit, at worst when the leading digit is 1; 1e-15 for the doubles themselves
        REQUIRE(std::abs(read_quantity(text, unit) - value) <=
                std::abs(value) * (0.5 * std::pow(10.0, 1 - digits) + 1e-15));
        // printing what was read changes nothing
        REQUIRE(print_quantity(read_quantity(text, unit), unit, digits) == text);
      }
    }
  }
}

TEST_CASE("impedances survive print and read at seventeen digits") {
  std::mt19937_64 random(7100);
  for (int i = 0; i < 5000; ++i) {
    const cdouble z(random_value(random), random_value(random));
    INFO(print_impedance(z, 17));
    REQUIRE(read_impedance(print_impedance(z, 17)) == z);
    REQUIRE(std::abs(read_impedance(print_impedance(z)).real() - z.real()) <= std::abs(z.real()) * 5.1e-4);
    REQUIRE(std::abs(read_impedance(print_impedance(z)).imag() - z.imag()) <= std::abs(z.imag()) * 5.1e-4);
  }
}

TEST_CASE("random text is read or refused with a column inside it") {
  std::mt19937_64 random(472);
  const std::vector<std::string> pieces = {"1",      "0", "9",   ".",   "e",  "-",  "+",    " ",
                                           "j",      "M", "k",   "u",   "Hz", "H",  "ohm",  "\u03A9",
                                           "\u00B5", "x", "inf", "nan", ",",  "\t", "\xFF", "ft"};
  int read = 0, refused = 0;
  for (int i = 0; i < 50000; ++i) {
    std::string text;
    const int length = std::uniform_int_distribution<int>(0, 7)(random);
    for (int k = 0; k < length; ++k)
      text += pieces[std::uniform_int_distribution<std::size_t>(0, pieces.size() - 1)(random)];
    INFO("<" << text << ">");
    for (Unit unit : {Unit::one, Unit::ohm, Unit::hertz}) try {
        const double value = read_quantity(text, unit);
        REQUIRE(std::isfinite(value));
        ++read;
      } catch (const ParseError& error) {
        REQUIRE(error.where.column >= 1);
        REQUIRE(error.where.column <= text.size() + 1);
        ++refused;
      }
    try {
      const cdouble z = read_impedance(text);
      REQUIRE((std::isfinite(z.real()) && std::isfinite(z.imag())));
      ++read;
    } catch (const ParseError& error) {
      REQUIRE(error.where.column >= 1);
      REQUIRE(error.where.column <= text.size() + 1);
      ++refused;
    }
  }
  CHECK(read > 1000);
  CHECK(refused > 1000);
}

TEST_CASE("units have the names of column heads") {
  CHECK(stile::unit_name(Unit::one) == "");
  CHECK(stile::unit_name(Unit::hertz) == "Hz");
  CHECK(stile::unit_name(Unit::ohm) == "ohm");
  CHECK(stile::unit_name(Unit::henry) == "H");
  CHECK(stile::unit_name(Unit::farad) == "F");
  CHECK(stile::unit_name(Unit::metre) == "m");
  CHECK(stile::unit_name(Unit::watt) == "W");
  CHECK(stile::unit_name(Unit::volt) == "V");
  CHECK(stile::unit_name(Unit::ampere) == "A");
  CHECK(stile::unit_name(Unit::second) == "s");
  CHECK(stile::unit_name(Unit::decibel) == "dB");
  CHECK(stile::unit_name(Unit::siemens_per_metre) == "S/m");
  CHECK(stile::unit_name(Unit::kilogram) == "kg");
  CHECK(stile::unit_name(Unit::degree) == "deg");
}
