#pragma once
// The one door between text and numbers. Everything behind it is SI doubles.

#include <complex>
#include <string>
#include <string_view>

#include <stile/base/errors.hpp>

namespace stile {

using cdouble = std::complex<double>;

/// What a quantity measures, and so which units and prefixes are legal.
enum class Unit {
  one,       ///< a plain number: no unit allowed
  hertz,     ///< Hz kHz MHz GHz
  ohm,       ///< mohm ohm kohm Mohm (the two omega signs as well)
  henry,     ///< pH nH uH mH H
  farad,     ///< fF pF nF uF mF F
  metre,     ///< um mm cm m km ft in
  watt,      ///< uW mW W kW
  volt,      ///< uV mV V kV
  ampere,    ///< uA mA A
  second,    ///< ns us ms s
  decibel,   ///< dB
};

/// A number with its unit, as written by a person: "14.2MHz", "1.2 uH", "8ft"; a bare number is SI.
///
/// @param text   whole text; blanks around it and between number and unit are allowed. "u", the micro sign (U+00B5)
///               and the Greek letter mu (U+03BC) all mean 1e-6. Case matters: "m" is milli, "M" is mega.
/// @param unit   what is expected
/// @param where  where the text stands; its column is that of the text's first character (0: 1)
/// @return       SI value, finite; correctly rounded for a bare number, within 1 ulp with a prefix
/// @throws ParseError  empty, not a number, nan, inf, hexadecimal, unknown or wrong unit, trailing text; the message
///                     says which units are legal and the column points at what is wrong
double read_quantity(std::string_view text, Unit unit, const Where& where = {});

/// A complex impedance in ohm: "12-230j", "50", "-230j", "1e3+2.5j", optionally followed by "ohm".
///
/// @throws ParseError  as read_quantity
cdouble read_impedance(std::string_view text, const Where& where = {});

/// The number with the unit and prefix that put it between 1 and 1000: "7.1 MHz", "470 pF", "0 ohm", "-3.2 dB".
///
/// @param value   SI; finite values only are scaled, others read "inf", "nan"
/// @param digits  significant digits, 1..17; trailing zeros are dropped
std::string print_quantity(double value, Unit unit, int digits = 4);

/// "12-230j" style text of an impedance, without unit.
std::string print_impedance(cdouble z_ohm, int digits = 4);

/// The unit's own name as it stands in column heads: "Hz", "ohm", "".
std::string_view unit_name(Unit unit);

}  // namespace stile
