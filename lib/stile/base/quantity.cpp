#include <stile/base/quantity.hpp>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <span>
#include <system_error>
#include <vector>

#include <stile/base/detail/decimal.hpp>

namespace stile {

namespace {

/// One legal way to write a unit: value = number * 10^exponent * factor / divisor.
struct Symbol {
  std::string_view text;
  int exponent = 0;
  bool printed = true;  ///< print_quantity may choose it
  double factor = 1.0;  ///< feet and inches: an exact whole number over an exact power of ten
  double divisor = 1.0;
};

struct UnitInfo {
  Unit unit;
  std::string_view name;
  std::string_view kind;        ///< for messages: "is not a unit of frequency"
  std::vector<Symbol> symbols;  ///< rising powers of ten; those that are only read at the end
};

const UnitInfo& info(Unit unit) {
  static const std::array<UnitInfo, 14> units = {{
      {Unit::one, "", "number", {}},
      {Unit::hertz, "Hz", "frequency", {{"Hz", 0}, {"kHz", 3}, {"MHz", 6}, {"GHz", 9}}},
      {Unit::ohm, "ohm", "resistance", {{"mohm", -3}, {"ohm", 0}, {"kohm", 3}, {"Mohm", 6}}},
      {Unit::henry, "H", "inductance", {{"pH", -12}, {"nH", -9}, {"uH", -6}, {"mH", -3}, {"H", 0}}},
      {Unit::farad, "F", "capacitance", {{"fF", -15}, {"pF", -12}, {"nF", -9}, {"uF", -6}, {"mF", -3}, {"F", 0}}},
      {Unit::metre,
       "m",
       "length",
       {{"um", -6},
        {"mm", -3},
        {"cm", -2, false},
        {"m", 0},
        {"km", 3},
        {"ft", 0, false, 3048.0, 1e4},
        {"in", 0, false, 254.0, 1e4}}},
      {Unit::watt, "W", "power", {{"uW", -6}, {"mW", -3}, {"W", 0}, {"kW", 3}}},
      {Unit::volt, "V", "voltage", {{"uV", -6}, {"mV", -3}, {"V", 0}, {"kV", 3}}},
      {Unit::ampere, "A", "current", {{"uA", -6}, {"mA", -3}, {"A", 0}}},
      {Unit::second, "s", "time", {{"ns", -9}, {"us", -6}, {"ms", -3}, {"s", 0}}},
      {Unit::decibel, "dB", "level", {{"dB", 0}}},
      {Unit::siemens_per_metre, "S/m", "conductivity", {{"mS/m", -3}, {"S/m", 0}}},
      {Unit::kilogram, "kg", "mass", {{"g", -3}, {"kg", 0}}},
      {Unit::degree, "deg", "angle", {{"deg", 0}}},
  }};
  const auto found = std::find_if(units.begin(), units.end(), [&](const UnitInfo& u) { return u.unit == unit; });
  require(found != units.end(), "unit must be one of the enumeration");
  return *found;
}

constexpr std::array all_units = {Unit::hertz,
                                  Unit::ohm,
                                  Unit::henry,
                                  Unit::farad,
                                  Unit::metre,
                                  Unit::watt,
                                  Unit::volt,
                                  Unit::ampere,
                                  Unit::second,
                                  Unit::decibel,
                                  Unit::siemens_per_metre,
                                  Unit::kilogram,
                                  Unit::degree};

const Symbol* find_symbol(Unit unit, std::string_view text) {
  const std::vector<Symbol>& symbols = info(unit).symbols;
  const auto found = std::find_if(symbols.begin(), symbols.end(), [&](const Symbol& s) { return s.text == text; });
  return found == symbols.end() ? nullptr : &*found;
}

bool is_blank(char c) { return c == ' ' || c == '\t'; }
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

std::string lower(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(), [](char c) { return lower(c); });
  return result;
}

bool starts_with(std::string_view text, std::string_view head) { return text.substr(0, head.size()) == head; }

std::size_t skip_blanks(std::string_view text, std::size_t at) {
  while (at < text.size() && is_blank(text[at])) ++at;
  return at;
}

/// First place at or after `at` that is a blank or the end.
std::size_t word_end(std::string_view text, std::size_t at) {
  while (at < text.size() && !is_blank(text[at])) ++at;
  return at;
}

std::string_view without_trailing_blanks(std::string_view text) {
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

std::string quoted(std::string_view text) { return std::string("\"").append(text).append("\""); }

std::string legal_units(Unit unit) {
  std::string list;
  for (const Symbol& symbol : info(unit).symbols) list.append(list.empty() ? "" : " ").append(symbol.text);
  return list;
}

std::string legal(Unit unit) {
  if (unit == Unit::one) return "; legal: a number without unit";
  return std::string("; legal: a number, then nothing or one of ").append(legal_units(unit));
}

/// A text under reading, and the one place that turns an offset in it into an error's column.
struct Source {
  std::string_view text;  ///< as given, blanks in front included
  const Where& where;

  [[noreturn]] void fail(std::size_t offset, const std::string& message) const {
    Where place = where;
    place.column = std::max<std::size_t>(where.column, 1) + offset;
    const std::string_view shown = without_trailing_blanks(text.substr(skip_blanks(text, 0)));
    throw ParseError(std::move(place), quoted(shown) + ": " + message);
  }
};

constexpr const char* does_not_fit = "the number does not fit a double; legal: 0 and sizes from 5e-324 to 1.7e308";

double checked_value(const Source& source, std::size_t begin, std::size_t end, int exponent) {
  const auto value = detail::decimal_value<double>(source.text.substr(begin, end - begin), exponent);
  if (!value) source.fail(begin, does_not_fit);
  return *value;
}

/// Says why no number starts at `at`.
[[noreturn]] void fail_no_number(const Source& source, std::size_t at, const std::string& legal_text) {
  std::string word = lower(source.text.substr(at));
  if (word.empty()) source.fail(at, "a number is missing" + legal_text);
  if (word.front() == '+' || word.front() == '-') word.erase(0, 1);
  const bool not_finite = starts_with(word, "nan") || starts_with(word, "inf");
  source.fail(at, (not_finite ? "not a finite number" : "not a number") + legal_text);
}

bool is_hexadecimal(std::string_view text, std::size_t begin, std::size_t end) {
  const std::string_view number = text.substr(begin, end - begin);
  return (number == "0" || number == "+0" || number == "-0") && end < text.size() && lower(text[end]) == 'x';
}

/// The unit in plain letters: micro sign and mu become u, both omegas become ohm.
std::string plain_unit(std::string_view unit) {
  std::string plain;
  for (std::string_view micro : {"\u00B5", "\u03BC"})
    if (starts_with(unit, micro)) {
      plain = "u";
      unit.remove_prefix(micro.size());
    }
  for (std::string_view omega : {"\u03A9", "\u2126"})
    if (unit.size() >= omega.size() && unit.substr(unit.size() - omega.size()) == omega) {
      unit.remove_suffix(omega.size());
      return plain.append(unit).append("ohm");
    }
  return plain.append(unit);
}

/// What the writer may have meant, in brackets, or nothing.
std::string hint(const std::string& plain, Unit unit) {
  std::string swapped = plain;
  if (swapped.front() == 'm')
    swapped.front() = 'M';
  else if (swapped.front() == 'M')
    swapped.front() = 'm';
  if (swapped != plain && find_symbol(unit, swapped)) return " (m is milli, M is mega)";
  for (const Symbol& symbol : info(unit).symbols)
    if (lower(symbol.text) == lower(plain)) return std::string(" (case matters: ").append(symbol.text).append(")");
  return "";
}

[[noreturn]] void fail_unit(const Source& source, std::size_t at, std::string_view word, Unit unit) {
  const std::string plain = plain_unit(word);
  const bool elsewhere =
      std::any_of(all_units.begin(), all_units.end(), [&](Unit other) { return find_symbol(other, plain) != nullptr; });
  const std::string what = elsewhere ? quoted(word) + " is not a unit of " + std::string(info(unit).kind)
                                     : std::string("no such unit ").append(quoted(word));
  source.fail(at, what + "; legal: " + legal_units(unit) + hint(plain, unit));
}

/// Decimal digits and exponent of |value| rounded to `digits`: value = 0.d1d2d3... * 10^(exponent + 1).
struct Decimal {
  std::string digits;
  int exponent = 0;
};

Decimal rounded(double value, int digits) {
  std::array<char, 64> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), std::abs(value),
                                 std::chars_format::scientific, digits - 1);
  const std::string_view text(buffer.data(), static_cast<std::size_t>(end.ptr - buffer.data()));
  const std::size_t e = text.find('e');
  Decimal result;
  for (char c : text.substr(0, e))
    if (c != '.') result.digits += c;
  std::string_view power = text.substr(e + 1);
  if (power.front() == '+') power.remove_prefix(1);
  std::from_chars(power.data(), power.data() + power.size(), result.exponent);
  while (result.digits.size() > 1 && result.digits.back() == '0') result.digits.pop_back();
  return result;
}

/// Digits with the point where `exponent` puts it; far from 1 a power of ten is written.
std::string place_point(const Decimal& number) {
  constexpr int least = -5, most = 8;
  const std::string_view d = number.digits;
  std::string text;
  if (number.exponent < least || number.exponent > most) {
    text = d.substr(0, 1);
    if (d.size() > 1) text.append(".").append(d.substr(1));
    return text.append("e").append(std::to_string(number.exponent));
  }
  if (number.exponent < 0) {
    text = "0.";
    return text.append(static_cast<std::size_t>(-number.exponent - 1), '0').append(d);
  }
  const std::size_t whole = static_cast<std::size_t>(number.exponent) + 1;
  text = d.substr(0, whole);
  if (d.size() <= whole) return text.append(whole - d.size(), '0');
  return text.append(".").append(d.substr(whole));
}

/// The number without its sign.
std::string print_size(double value, int digits) {
  if (std::isnan(value)) return "nan";
  return std::isinf(value) ? "inf" : place_point(rounded(value, digits));
}

void require_digits(int digits) { require(digits >= 1 && digits <= 17, "digits must be 1..17"); }

}  // namespace

double read_quantity(std::string_view text, Unit unit, const Where& where) {
  const Source source{text, where};
  const std::size_t begin = skip_blanks(text, 0);
  const std::size_t end = detail::decimal_end(text, begin, true);
  if (end == begin) fail_no_number(source, begin, legal(unit));
  if (is_hexadecimal(text, begin, end)) source.fail(begin, "hexadecimal is not read" + legal(unit));

  const std::size_t unit_begin = skip_blanks(text, end);
  if (unit_begin == text.size()) return checked_value(source, begin, end, 0);
  const std::size_t unit_end = word_end(text, unit_begin);
  const std::string_view word = text.substr(unit_begin, unit_end - unit_begin);

  const char first = word.front();
  const bool letter = (lower(first) >= 'a' && lower(first) <= 'z') || static_cast<unsigned char>(first) >= 0x80;
  if (!letter || unit == Unit::one)
    source.fail(unit_begin, std::string("unexpected ") + quoted(word) + " after the number" + legal(unit));
  const Symbol* symbol = find_symbol(unit, plain_unit(word));
  if (!symbol) fail_unit(source, unit_begin, word, unit);
  const std::size_t rest = skip_blanks(text, unit_end);
  if (rest != text.size())
    source.fail(rest,
                std::string("unexpected ") + quoted(without_trailing_blanks(text.substr(rest))) + " after the unit");

  const double value = checked_value(source, begin, end, symbol->exponent) * symbol->factor / symbol->divisor;
  if (!std::isfinite(value)) source.fail(begin, does_not_fit);
  return value;
}

cdouble read_impedance(std::string_view text, const Where& where) {
  const std::string legal_text = "; legal: ohm in the form 12-230j, 50 or -230j";
  const Source source{text, where};
  const auto imaginary_letter = [&](std::size_t at) {
    if (at >= text.size()) return false;
    if (text[at] == 'i' || text[at] == 'I' || text[at] == 'J')
      source.fail(at, "the imaginary unit is written j, not " + std::string(text.substr(at, 1)) + legal_text);
    return text[at] == 'j';
  };
  const auto fail_leading_j = [&](std::size_t at) { source.fail(at, "j stands behind its number" + legal_text); };
  const auto finish = [&](std::size_t at, cdouble z_ohm) {
    at = skip_blanks(text, at);
    const std::string_view rest = without_trailing_blanks(text.substr(at));
    if (!rest.empty() && plain_unit(rest) != "ohm")
      source.fail(at, std::string("unexpected ") + quoted(rest) + legal_text);
    return z_ohm;
  };

  const std::size_t begin = skip_blanks(text, 0);
  const std::size_t end = detail::decimal_end(text, begin, true);
  if (end == begin) {
    const bool sign = begin < text.size() && (text[begin] == '+' || text[begin] == '-');
    const std::size_t j = begin + (sign ? 1 : 0);
    if (j < text.size() && text[j] == 'j') fail_leading_j(j);
    fail_no_number(source, begin, legal_text);
  }
  if (is_hexadecimal(text, begin, end)) source.fail(begin, "hexadecimal is not read" + legal_text);
  const double first = checked_value(source, begin, end, 0);
  if (imaginary_letter(end)) return finish(end + 1, {0.0, first});

  const std::size_t sign = skip_blanks(text, end);
  if (sign == text.size() || (text[sign] != '+' && text[sign] != '-')) return finish(end, {first, 0.0});
  const std::size_t second = skip_blanks(text, sign + 1);
  const std::size_t second_end = detail::decimal_end(text, second, false);
  if (second_end == second) {
    if (!starts_with(lower(text.substr(second)), "inf") && imaginary_letter(second)) fail_leading_j(second);
    fail_no_number(source, second, legal_text);
  }
  const double size = checked_value(source, second, second_end, 0);
  if (!imaginary_letter(second_end)) source.fail(second_end, "j is missing after the imaginary part" + legal_text);
  return finish(second_end + 1, {first, text[sign] == '-' ? -size : size});
}

std::string print_quantity(double value, Unit unit, int digits) {
  require_digits(digits);
  const UnitInfo& about = info(unit);
  std::string text = value < 0.0 ? "-" : "";
  if (!std::isfinite(value)) return text.append(print_size(value, digits));

  Decimal number = rounded(value, digits);  // rounded first: what reaches 1000 takes the next prefix by itself
  std::string_view chosen = about.name;
  if (value != 0.0) {
    int exponent = 0;
    bool first = true;
    for (const Symbol& symbol : about.symbols) {
      if (!symbol.printed || (!first && symbol.exponent > number.exponent)) continue;
      chosen = symbol.text;
      exponent = symbol.exponent;
      first = false;
    }
    number.exponent -= exponent;
  }
  text.append(place_point(number));
  return chosen.empty() ? text : text.append(" ").append(chosen);
}

std::string print_impedance(cdouble z_ohm, int digits) {
  require_digits(digits);
  std::string text = z_ohm.real() < 0.0 ? "-" : "";
  text.append(print_size(z_ohm.real(), digits));
  text.append(z_ohm.imag() < 0.0 ? "-" : "+");
  return text.append(print_size(z_ohm.imag(), digits)).append("j");
}

std::string_view unit_name(Unit unit) { return info(unit).name; }

}  // namespace stile
