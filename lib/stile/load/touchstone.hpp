#pragma once
// Touchstone network files (SnP): a strict reader for any port count; touchstone_write.hpp writes.
// Source: Touchstone File Format Specification, IBIS Open Forum, versions 1.0/1.1 (2002), 2.0 (2009), 2.1 (2024), with
// the IBIS resolution documents TSIRD 4.1 and 5.1; read second-hand, through public digests, translations and the
// numbers of the printed examples. The document itself has not been opened for this reader.

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::load {

/// The parameter a file holds: scattering, admittance, impedance, hybrid, inverse hybrid.
enum class TouchstoneKind { s, y, z, h, g };

/// How a pair of numbers stands for a value: 20 log10 of the magnitude and degrees, magnitude and degrees, real and
/// imaginary.
enum class TouchstoneFormat { db, ma, ri };

/// Parameters at one frequency, in SI: S without unit, Y in siemens, Z in ohm, H and G in the units of their elements.
struct TouchstonePoint {
  double frequency_hz = 0.0;
  std::vector<cdouble> matrix;  ///< ports * ports, row by row: N11, N12, ...
  std::size_t line = 0;         ///< where its frequency stands in the text
  std::size_t column = 0;
  std::size_t value_line = 0;  ///< where its first value stands
  std::size_t value_column = 0;
};

/// Noise parameters of a two-port at one frequency.
struct TouchstoneNoisePoint {
  double frequency_hz = 0.0;
  double minimum_noise_figure_db = 0.0;
  cdouble optimum_reflection = 0.0;  ///< of the source, relative to `option_reference_ohm`
  double noise_resistance_ohm = 0.0;
  std::size_t line = 0;
};

/// An oddity that was tolerated because it can be read in one way only.
struct TouchstoneWarning {
  std::size_t line = 0;
  std::string message;
};

/// What an option line says; the defaults are the standard's.
struct TouchstoneOption {
  std::size_t line = 0;
  std::size_t reference_column = 0;
  int exponent = 9;  ///< the frequency unit is 10^exponent Hz
  TouchstoneKind kind = TouchstoneKind::s;
  TouchstoneFormat format = TouchstoneFormat::ma;
  std::vector<double> reference_ohm{50.0};  ///< one or more, each > 0
  std::vector<TouchstoneWarning> warnings;
};

struct TouchstoneFile {
  std::string file;
  std::string version;  ///< "1.0", "1.1" (several references on the option line), "2.0", "2.1"
  std::size_t ports = 0;
  TouchstoneKind kind = TouchstoneKind::s;
  std::vector<double> reference_ohm;        ///< one a port, > 0; S values refer to these and are never re-normalised
  double option_reference_ohm = 50.0;       ///< first R of the option line: the reference of noise data
  std::vector<TouchstonePoint> points;      ///< strictly increasing frequency
  std::vector<TouchstoneNoisePoint> noise;  ///< strictly increasing frequency; empty when there is none
  std::vector<TouchstoneWarning> warnings;  ///< in the order of the lines
};

/// Reads a whole Touchstone text.
///
/// Strict: what the standard does not allow is refused. Tolerated with a warning: blanks before an option line or a
/// keyword, no blank after '#', further option lines (they have no effect), more than four pairs on a line of a
/// version 1 file with three or more ports. Values of version 1 files in Z, Y, H, G are de-normalised; version 2 holds
/// them in SI already. A frequency of 0 is legal, a negative magnitude is not.
///
/// @param text       the file's content
/// @param file_name  for messages, and for the port count of a version 1 file: from the extension .sNp; with any other
///                   name ("-" is standard input) from the first data line, 3 numbers for one port and 9 for two
/// @throws ParseError  with line and column and what would be legal
/// Accuracy: frequencies, and values in RI as far as they need no scaling, are correctly rounded to double; scaled ones
/// in RI are rounded once from extended precision; DB and MA cost a few ulp (asserted: 1e-12).
TouchstoneFile read_touchstone(std::string_view text, std::string file_name);

/// A version 2 text line by line, so that it need not be held: read as read_touchstone reads it.
class TouchstoneLines {
public:
  using Take = std::function<void(const TouchstonePoint&)>;
  /// @param first  number of the first line that will be given
  /// @param take   gets each point in its order
  TouchstoneLines(std::string file_name, std::size_t first, Take take);
  TouchstoneLines(TouchstoneLines&&) noexcept;
  TouchstoneLines& operator=(TouchstoneLines&&) noexcept;
  ~TouchstoneLines();
  /// @param text  without its end
  void line(std::string_view text);
  /// What the file says but its points. @throws ParseError  (line too) as read_touchstone
  TouchstoneFile finish();

private:
  struct State;
  std::unique_ptr<State> state_;
};

/// An option line alone, "# MHz S RI R 50", without comment; a missing '#' is not tolerated.
/// @param where  of the line; its column is not used
/// @throws ParseError  as read_touchstone
TouchstoneOption read_touchstone_option(std::string_view line, const Where& where);

/// What a stored value of a version 1 file is multiplied by: Z/R, Y R, h11/R, h22 R, g11 R, g22/R are stored; S as it
/// is.
/// @param row, column  from 0
long double touchstone_factor(TouchstoneKind kind, std::size_t row, std::size_t column, double reference_ohm);

/// A value from its magnitude and angle; the angle is reduced before it becomes radian, so that 180 degrees keeps its
/// digits.
cdouble touchstone_polar(double magnitude, double angle_deg);

/// The port count N of a file name that ends in ".sNp" (case does not matter), or nothing.
std::optional<std::size_t> ports_of_touchstone_name(std::string_view file_name);

}  // namespace stile::load
