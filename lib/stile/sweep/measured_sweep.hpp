#pragma once
// Measured sweeps as instruments really write them: read with what is odd about them, instead of refused whole.

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <stile/load/touchstone.hpp>
#include <stile/sweep/finding.hpp>

namespace stile::sweep {

/// Half a step of the last digit of a value's two columns; what is not known is 0.
struct ColumnSteps {
  enum class Of { parts, polar, decibel_polar };  ///< R and X or Re and Im; magnitude and angle; dB and angle
  Of of = Of::parts;
  double first = 0.0;   ///< in the value's own unit, of decibel_polar in dB
  double second = 0.0;  ///< likewise, of an angle in radian
};

/// A sweep as read, before anything is judged. Values in SI: S without unit, Z in ohm, Y in siemens.
struct Sweep {
  std::string file;
  std::string format;     ///< "Touchstone 1.0", "CSV"
  std::size_t ports = 1;  ///< of the values below
  load::TouchstoneKind kind = load::TouchstoneKind::s;
  bool magnitude_only = false;        ///< S11 holds |S11|; its angle was not measured
  std::vector<double> reference_ohm;  ///< one a port, > 0
  std::vector<double> frequency_hz;   ///< strictly increasing, >= 0; not empty
  std::vector<cdouble> values;        ///< ports * ports a point, row by row
  std::vector<std::size_t> line;      ///< where each point stands
  ColumnSteps rounding;               ///< of S11, Z11 ...
  std::vector<Finding> findings;      ///< of reading, in the order of FindingKind
  std::span<const cdouble> at(std::size_t point) const {
    return std::span(values).subspan(point * ports * ports, ports * ports);
  }
};

struct ReadOptions {
  std::optional<std::string> option_line;  ///< "# MHz S RI R 50": for a version 1 file that has none
  double reference_ohm = 50.0;             ///< of CSV reflection and SWR; > 0
};

/// The larger of what half a step of either column moves a point's first value by, in that value's own unit; 0: not
/// known.
double rounding_at(const Sweep& sweep, std::size_t point);

/// The points of a band, and beyond each edge one more between which and the band it is interpolated: for what corrects
/// another sweep.
/// @throws Error  no point is in the band or next to it
Sweep in_band(const Sweep& sweep, std::optional<double> low_hz, std::optional<double> high_hz);

/// Takes a text in blocks of any size, so that it need not be held: of Touchstone of every version with any number of
/// ports and of CSV only the numbers are kept. Keyword files, version 2, are read by load::TouchstoneLines, strictly.
///
/// Touchstone is read as load::read_touchstone reads it, but what can be read in one way only becomes a finding:
/// decimal commas, bytes above 0x7E in a comment, a point that repeats a frequency (the first stays) or stands out of
/// order (sorted), noise data (left out), a second pair of columns under a one-port name (S11 and S21: the first is
/// read). A file in which no frequency ever rises is refused. So is one without an option line, unless ReadOptions has
/// it, or a "magnitude" below 0 and no value above 1.1 leave real and imaginary parts alone (GHz and 50 ohm are then
/// the standard's defaults).
///
/// CSV has a heading; columns are separated by commas, or by semicolons or tabs (then decimal commas are read too).
/// Names, in any case: frequency_hz (or _khz, _mhz, _ghz), and one of r_ohm with x_ohm, z_ohm (magnitude) with
/// angle_deg, s11_re with s11_im, reflection (magnitude) or return_loss_db with angle_deg, and alone swr, reflection or
/// return_loss_db. Other columns are left out; their cells may hold separators in quotes. Lines that begin with '#' are
/// skipped.
class SweepReader {
public:
  /// @param file  for messages; its extension says the format (.csv, .tsv: CSV; .sNp, .ts: Touchstone), with any other
  ///              the first line does
  explicit SweepReader(std::string file, ReadOptions options = {});
  SweepReader(SweepReader&&) noexcept;
  SweepReader& operator=(SweepReader&&) noexcept;
  ~SweepReader();
  void take(std::string_view block);
  /// @throws ParseError  (take too) with line and column and what would be legal
  Sweep finish();

private:
  struct State;
  std::unique_ptr<State> state_;
};

Sweep read_sweep_text(std::string_view text, std::string file, const ReadOptions& options = {});

/// "-" is standard input. @throws ParseError  as the reader, or the file cannot be read
Sweep read_sweep_file(const std::string& path, const ReadOptions& options = {});

}  // namespace stile::sweep
