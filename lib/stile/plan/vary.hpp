#pragma once
// One number of a station file put to many values: where does the answer change?

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <stile/plan/plan.hpp>
#include <stile/station/number_in_file.hpp>
#include <stile/wire/solve.hpp>

namespace stile::plan {

struct VariedArrangement {
  double counted_db = 0.0;  ///< as ArrangementResult::counted_db
  double worst_swr = 0.0;   ///< likewise
  bool ok = false, holds_throughout = false;
};

struct VariedBand {
  Counted counted = Counted::delivered;
  Choice choice = Choice::not_run;
  std::optional<std::size_t> taken;             ///< as BandResult::taken
  std::string answer;                           ///< "take base coil", "undecided, base coil as stated", "nothing holds"
  std::vector<VariedArrangement> arrangements;  ///< in the station's order
};

/// Two neighbouring values between which a band's answer changes.
struct Crossing {
  std::size_t band = 0;
  std::size_t step = 0;       ///< between values step and step + 1 of the study
  std::string before, after;  ///< the answers on both sides, in the order of the values
};

/// The value of a study at which an arrangement that holds loses least on a band, of those that may be compared.
struct BestValue {
  std::optional<std::size_t> antenna{};    ///< of the station, of whose arrangements it is the best; nothing: of all
  std::size_t value = 0, arrangement = 0;  ///< of Study::values, of the station
  double counted_db = 0.0;                 ///< there
  bool holds_throughout = false;           ///< there; false: as stated alone
};

struct Study {
  station::Vary vary;
  std::string stated;                           ///< what the file has in its place
  station::Station station;                     ///< with the first value: for names
  std::vector<std::vector<VariedBand>> values;  ///< by value and band
  std::vector<Crossing> crossings;              ///< by band, then value
  /// By band: one, or where antennas cannot be compared (compared.hpp) one for each on which something holds at some
  /// value. What holds throughout goes before what holds as stated; of equal ones the first. None where values_compared
  /// is false.
  std::vector<std::vector<BestValue>> best;
  /// By band; false: each value makes another antenna, of which nobody knows where its power goes.
  std::vector<bool> values_compared;
};

/// "take NAME", "undecided, NAME as stated", "undecided between antennas, NAME or NAME", "nothing holds".
std::string answer_words(const BandResult& band);

/// A whole plan for every value, without fields at people.
///
/// @param stated    read once for each value; see station::with_number
/// @param progress  called with a line of text as the work goes on, one call at a time, when given
/// @param threads   0: as many as the machine has; the result does not depend on it
/// @param stated_options  of the solver
/// @throws ParseError  as station::with_number and read_station, of a value that the station cannot have
/// Accuracy: each value's answer is that of make_plan. A change is found to the step between two values; an answer that
/// changes and changes back within one step is not seen.
Study study(const station::StationText& stated, const station::Vary& vary,
            const std::function<void(const std::string&)>& progress = {}, unsigned threads = 0,
            const wire::SolveOptions& stated_options = {});

}  // namespace stile::plan
