#pragma once
// A ladder between transmitter and load, evaluated: input impedance, where each watt goes, stress of each part.

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/network/element.hpp>

namespace stile::network {

/// A transmitter as its equivalent source.
struct Source {
  cdouble z_ohm{50.0, 0.0};  ///< real part > 0
  double power_w = 1.0;      ///< power available into the conjugate impedance, > 0
};

/// Load impedances along a sweep. The harmonic loads are empty where they are not known.
struct LoadSamples {
  std::vector<double> frequency_hz;   ///< > 0, any order
  std::vector<cdouble> z_ohm;         ///< same length; real part >= 0
  std::vector<cdouble> z_second_ohm;  ///< at 2 f: same length or empty
  std::vector<cdouble> z_third_ohm;   ///< at 3 f: same length or empty
};

/// What one part carries at the stated transmitter power.
struct Stress {
  double current_a_rms = 0.0;   ///< through the part; of a coil with self-capacitance, through the winding
  double voltage_v_peak = 0.0;  ///< across the part; of a line, the highest along it
  double dissipation_w = 0.0;
  double magnetic_energy_j = 0.0;  ///< mean over a period
  double electric_energy_j = 0.0;  ///< mean over a period
};

struct PowerFlow {
  double available_w = 0.0;
  double accepted_w = 0.0;   ///< what enters the ladder
  double delivered_w = 0.0;  ///< what reaches the load
};

struct LossSplit {
  double mismatch_db = 0.0;     ///< available / accepted; infinite when nothing is accepted
  double dissipation_db = 0.0;  ///< accepted / delivered; infinite when nothing is delivered
  double transducer_db = 0.0;   ///< available / delivered: the sum
};

struct Evaluation {
  double frequency_hz = 0.0;
  cdouble z_load_ohm{};
  cdouble z_input_ohm{};
  cdouble reflection{};  ///< power-wave reflection against the source: 0 is the conjugate match
  double swr = 0.0;      ///< (1+|reflection|)/(1-|reflection|); infinite when nothing is accepted
  PowerFlow power;
  LossSplit loss;
  double loaded_q = 0.0;                                        ///< see Column
  std::optional<double> second_harmonic_db, third_harmonic_db;  ///< see Column
  cdouble load_current_a{};                                     ///< rms phasor, source voltage as phase reference
  std::vector<Stress> elements;
};

/// What a sweep computes at every point.
///
/// loaded_q is 2 w max(Wm, We) / P with the mean stored energies of all parts and of the load (whose net reactive
/// energy |X||I|^2/(2w) is counted on its own side: a lower bound when the load stores both kinds) and P the power
/// in parts, load and the source's resistance. A matched L network has half its unloaded node Q.
/// harmonic attenuation is the transducer loss at 2 f (3 f) less that at f, in dB; > 0 weakens the harmonic. The
/// source's impedance is taken to be the same there. nan where the load at the harmonic was not given; infinite where
/// that load takes no power; of no meaning (-infinite or nan) where the load at f takes none.
enum class Column {
  input_r,
  input_x,
  reflection_re,
  reflection_im,
  swr,
  accepted,
  delivered,
  mismatch_db,
  dissipation_db,
  loaded_q,
  second_harmonic_db,
  third_harmonic_db,
  load_current_re,
  load_current_im
};
inline constexpr std::size_t columns = 14;

/// What a sweep computes for every element at every point: the members of Stress.
enum class ElementColumn { current_a_rms, voltage_v_peak, dissipation_w, magnetic_energy_j, electric_energy_j };
inline constexpr std::size_t element_columns = 5;

/// Some neighbouring points of a sweep, stored by columns.
class SweepRows {
public:
  std::size_t first = 0, count = 0;  ///< these points are first .. first + count - 1 of the sweep

  /// Row n of all stands at values + stride * n. The points are those of the whole sweep.
  SweepRows(const double* values, std::size_t stride, const LoadSamples& points, std::size_t elements,
            double available_w)
      : values_(values), stride_(stride), points_(&points), elements_(elements), available_w_(available_w) {}
  std::span<const double> column(Column c) const { return row(static_cast<std::size_t>(c)); }
  std::span<const double> element(std::size_t index, ElementColumn c) const {
    return row(columns + element_columns * index + static_cast<std::size_t>(c));
  }
  std::span<const double> row(std::size_t index) const { return {values_ + stride_ * index, count}; }
  /// Point first + index of the sweep as a plain struct. index < count.
  Evaluation at(std::size_t index) const;

private:
  const double* values_;
  std::size_t stride_;
  const LoadSamples* points_;
  std::size_t elements_;
  double available_w_;
};

/// Evaluates a ladder along a sweep and hands the results over block by block, in order, without keeping them.
///
/// @param visit  called with at most 64 points at a time; the rows are valid during the call
/// @throws DomainError  a value outside its stated range (which element is named), lengths that differ; a result that
///                      is not finite (its frequency is named), save SWR and dB where infinity is their answer
/// Accuracy: available = reflected + every loss + delivered within 1e-12 (asserted on random networks); currents,
/// voltages and losses within 1e-9 relative of a nodal solution (asserted against a circuit simulator).
/// A line's highest voltage and current are those of the wave itself, wherever on the line they stand.
/// The result of a point does not depend on its neighbours.
void visit_sweep(const Ladder& ladder, const Source& source, const LoadSamples& points,
                 const std::function<void(const SweepRows&)>& visit);

/// A whole sweep, stored by columns; evaluate_sweep makes it.
class Sweep {
public:
  std::size_t size() const { return points_.frequency_hz.size(); }
  std::size_t elements() const { return elements_; }
  const LoadSamples& points() const { return points_; }
  std::span<const double> column(Column c) const { return rows().column(c); }
  std::span<const double> element(std::size_t index, ElementColumn c) const { return rows().element(index, c); }
  /// One point as a plain struct. index < size().
  Evaluation at(std::size_t index) const { return rows().at(index); }

private:
  friend Sweep evaluate_sweep(const Ladder& ladder, const Source& source, LoadSamples points);
  Sweep(LoadSamples points, std::size_t elements, double available_w);
  void store(const SweepRows& block);  // copies a block into its place
  struct Free {
    void operator()(double* values) const;
  };
  SweepRows rows() const;

  LoadSamples points_;
  std::size_t elements_ = 0;
  double available_w_ = 0.0;
  std::unique_ptr<double[], Free> values_;  // rows of size() numbers each; not initialised before store()
};

/// visit_sweep with everything kept, for library users who want whole columns. Errors and accuracy as there.
Sweep evaluate_sweep(const Ladder& ladder, const Source& source, LoadSamples points);

/// The same at one frequency, to the last bit, in a few times what a sweep takes for a point.
Evaluation evaluate(const Ladder& ladder, const Source& source, double frequency_hz, cdouble z_load_ohm);

/// A part that carries more than its rating: "L1: 812 V peak, rated 500 V".
struct Overload {
  std::size_t element = 0;
  std::string what;
  double factor = 0.0;  ///< stress / rating, > 1
};

/// Every rating that an evaluation breaks, worst first.
std::vector<Overload> overloads(const Ladder& ladder, const Evaluation& evaluation);

}  // namespace stile::network
