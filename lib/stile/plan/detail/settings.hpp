#pragma once
// How an arrangement is set on a band, in each condition, as stated and with inputs off. Internal to the room.

#include <array>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include <stile/plan/detail/circuits.hpp>
#include <stile/plan/plan.hpp>

namespace stile::plan::detail {

/// Frequencies at which a band is judged: evenly along it, with the ends of the part in use, the design frequency and
/// the middles between these.
/// @param draft  only those at which settings are searched, and the band's high end
std::vector<double> band_frequencies(const station::Band& band, bool draft = false);

/// Low and high end of the part in use, the design frequency, and the middles between.
std::vector<double> searched_frequencies(const station::Band& band);

bool in_use(const station::Band& band, double frequency_hz);

/// Transmitter to load: cable before, match, cable after.
network::Ladder whole_ladder(const station::Arrangement& arrangement, const std::vector<network::Element>& match);

/// A load as it is seen through the cable behind the match.
cdouble behind_cable(const station::Arrangement& arrangement, double frequency_hz, cdouble z_load_ohm);

/// What of the power into an antenna counts.
double counted_share(const LoadPoint& point, Counted counted, const Corner& corner);

/// An arrangement's antenna on a band: by condition, at band_frequencies.
using BandLoads = std::vector<std::vector<LoadPoint>>;
BandLoads band_loads(const station::Antenna& antenna, const station::Band& band, bool draft = false);

/// One arrangement on one band.
struct Case {
  const station::Station& station;
  const station::Arrangement& arrangement;
  const station::Band& band;
  const BandLoads& loads;
  Counted counted = Counted::delivered;
  const CoilTaps* taps = nullptr;  ///< of the coil of an arrangement with a switched one
  bool swr_counts = true;          ///< false: settings are searched as if the SWR had no limit
  bool draft = false;              ///< one that does not hold need not be known: it is as good as none
  bool bounds = true;              ///< what a hand moves is bounded, for the proof
};

class Settings {
public:
  /// Searches the settings, at the frequencies of the part in use and for the normal conditions.
  explicit Settings(const Case& of);

  /// False: no setting can be made, since a normal condition's antenna takes no power; in a draft, none holds.
  bool possible() const { return possible_; }
  const std::optional<match::Proof>& proof() const { return proof_; }

  const Case& of() const { return case_; }

  /// Drops what is kept for other Q, contacts and temperatures than stated, and what was searched: for results that
  /// wait.
  void forget();

  /// What to set in a condition, at the design frequency.
  Setting setting(std::size_t condition) const;

  /// What stands between transmitter and antenna in a condition when inputs are off: a function of frequency and load.
  /// A tuner, and a hand that trims, set themselves anew; in an accident all is as it was left.
  std::function<network::Ladder(double, cdouble)> at(std::size_t condition, const Corner& corner) const;

private:
  bool served(std::size_t condition) const;
  match::SettingJob job(const std::vector<std::size_t>& conditions, const Corner& corner) const;
  void search();
  void leave(const std::vector<std::size_t>& found);
  void search_fed(const std::vector<std::size_t>& conditions);
  std::vector<network::Element> elements(const Parts& parts, double frequency_hz, const Corner& corner) const;
  /// What is set in a condition where a hand moves something: whether it holds, and its worst loss, dB.
  using Reached = std::map<std::size_t, std::pair<bool, double>>;
  void refine(const std::vector<std::size_t>& conditions, Reached set);
  void bound_moved(const Reached& set);
  struct Stays;
  std::vector<Stays> by_what_stays(const match::SettingSpace& free) const;
  std::vector<Stays> halved(const Stays& box, std::size_t condition) const;
  void bound_not_above(double found_db);
  std::optional<match::OneSetting> refined(Parts& setting, const std::vector<std::size_t>& conditions);
  std::vector<Parts> with_fewer(const Parts& setting) const;
  void take_stated();
  Parts set_anew(std::size_t condition, const Corner& corner) const;
  network::Ladder tuned(double frequency_hz, cdouble z_load_ohm, const Corner& corner) const;

  Case case_;
  bool automatic_ = false, possible_ = true;
  std::optional<CoilOnBand> coil_;
  std::optional<FedCoil> fed_;  // of an autotransformer
  std::vector<double> searched_hz_;
  std::vector<cdouble> seen_ohm_;  // loads of all conditions at the design frequency, behind the cable
  match::SettingSpace space_;      // as stated
  std::vector<Parts> parts_;       // one a condition
  std::optional<match::Proof> proof_;
  mutable std::map<std::array<double, 3>, match::PreparedSpace> near_;  // by Q, contacts and temperature
  mutable std::map<std::pair<double, std::pair<double, double>>, std::pair<tuner::Tuner, tuner::TunerTable>> tables_;
};

/// Transmitter's full power over the counted power, dB; infinite when none arrives.
double counted_loss_db(const station::Transmitter& transmitter, const network::Evaluation& evaluation, double share);

}  // namespace stile::plan::detail
