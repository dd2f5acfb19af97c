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
  one,                ///< a plain number: no unit allowed
  hertz,              ///< Hz kHz MHz GHz
  ohm,                ///< mohm ohm kohm Mohm (the two omega signs as well)
  henry,              ///< pH nH uH mH H
  farad,              ///< fF pF nF uF mF F
  metre,              ///< um mm cm m km ft in
  watt,               ///< uW mW W kW
  volt,               ///< uV mV V kV
  ampere,             ///< uA mA A
  second,             ///< ns us ms s
  decibel,            ///< dB
  siemens_per_metre,  ///< mS/m S/m
  kilogram,           ///< g kg
  degree,             ///< deg
};

/// A number with its unit, as written by a person: "14.2MHz", "1.2 uH", "8ft"; a bare number is SI.
///
/// @param text   whole text; blanks (space, tab) around it and between number and unit are allowed, one sign before
///               the number. "u", the micro sign (U+00B5) and the Greek letter mu (U+03BC) all mean 1e-6; "ohm", the
///               Greek capital omega (U+03A9) and the ohm sign (U+2126) are the same. Case matters: "m" is milli,
///               "M" is mega. The point is the decimal sign in every locale.
/// @param unit   what is expected
/// @param where  where the text stands; its column is that of the text's first byte (0: 1)
/// @return       SI value, finite, of any sign: ranges are the caller's business
/// @throws ParseError  empty, not a number, nan, inf, hexadecimal, too large or too small for a double, unknown or
///                     wrong unit, trailing text; the message says which units are legal and the column, in bytes,
///                     points at what is wrong
/// Accuracy: correctly rounded ("1.2uH" is the double 1.2e-6); feet and inches, rounded three times, within 2.5 ulp.
double read_quantity(std::string_view text, Unit unit, const Where& where = {});

/// A complex impedance in ohm: "12-230j", "50", "-230j", "1e3+2.5j", optionally followed by "ohm" or an omega.
/// Blanks may stand around the whole, around the middle sign and before the unit. "j50" and "12-230i" are refused.
///
/// @throws ParseError  as read_quantity
cdouble read_impedance(std::string_view text, const Where& where = {});

/// The number with the unit and prefix that put it between 1 and 1000: "7.1 MHz", "470 pF", "0 ohm", "-3.2 dB".
/// Only prefixes that read_quantity takes are used, so the ends of the scale leave 1..1000 ("0.2 Hz", "1500 A");
/// plain numbers and decibels are never scaled, lengths read um, mm, m or km. Far outside (below 1e-5, from 1e9 on)
/// a power of ten is written: "2e-7".
///
/// @param value   SI; one that is not finite reads "inf", "-inf", "nan", without unit
/// @param digits  significant digits, 1..17; trailing zeros are dropped
/// @throws DomainError  digits outside 1..17
/// Accuracy: decimal rounding of the double itself, ties to the even digit; what is printed with 17 digits reads back
/// as the same double.
std::string print_quantity(double value, Unit unit, int digits = 4);

/// "12-230j" style text of an impedance in ohm, without unit, each part with `digits` significant digits.
///
/// @throws DomainError  digits outside 1..17
std::string print_impedance(cdouble z_ohm, int digits = 4);

/// The unit's own name as it stands in column heads: "Hz", "ohm", "".
std::string_view unit_name(Unit unit);

}  // namespace stile
