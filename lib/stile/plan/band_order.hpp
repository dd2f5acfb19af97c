#pragma once
// What a hand has to touch between bands and conditions, how long it takes, and the order of bands that asks least.

#include <optional>
#include <vector>

#include <stile/plan/plan.hpp>

namespace stile::plan {

/// What somebody does at the whip.
struct HandWork {
  int taps = 0, trimmers = 0, parts = 0;  ///< moved, turned, exchanged
  double seconds = 0.0;                   ///< of all that; of a tuner its own tuning

  int touches() const { return taps + trimmers + parts; }
};

/// Seconds assumed where [hands] states none: to move a tap, to turn a trimmer, to exchange a part; and of a tuner's
/// tuning that states no tune_time. Assumed: time yourself, with gloves on.
inline constexpr double assumed_tap_s = 10.0, assumed_trimmer_s = 15.0, assumed_part_s = 20.0, assumed_tune_s = 5.0;

/// From one setting of an arrangement to another: a tap or trimmer that stands elsewhere is moved, a part that is
/// another one or gone is exchanged; a tapped coil in series that is gone is by-passed by its tap. Parts are compared
/// in their order, series and shunt each for themselves.
HandWork work_between(const station::Station& station, const station::Arrangement& arrangement, const Setting& from,
                      const Setting& to);

/// One arrangement over its bands.
struct BandOrder {
  std::size_t arrangement = 0;
  std::vector<HandWork> on_band{};    ///< of each of Plan::bands between two conditions: what `trim` lets a hand move,
                                      ///< and more where settings lie farther apart
  HandWork between_conditions;        ///< the most of these
  std::vector<std::size_t> order;     ///< of Plan::bands, those on which it can be made
  std::vector<HandWork> steps;        ///< from each to the next; one less
  int touches = 0;                    ///< of all steps
  double seconds = 0.0;               ///< likewise
  int stated_order_touches = 0;       ///< of the same bands in the file's order
  double stated_order_seconds = 0.0;  ///< likewise
  bool least = false;                 ///< no other order touches less, and none with as few is quicker; false beyond
                                      ///< most_ordered_bands: the file's order
};

inline constexpr std::size_t most_ordered_bands = 14;

/// For every arrangement, in their order: every band once, starting anywhere, in the condition in which one is most of
/// the time (the first normal one where no shares are stated). The order is the one with the fewest touches; of these
/// the one with the fewest seconds; of these the one that starts with the file's earlier bands.
/// @throws DomainError  a plan of another station
std::vector<BandOrder> band_orders(const station::Station& station, const Plan& plan);

/// When setting anew pays against something broader that is left alone and may be compared with it, on one band.
struct ResetTrade {
  std::size_t band = 0;
  std::size_t anew = 0;                  ///< the arrangement that holds and is set anew, and is the strongest of these
  std::optional<std::size_t> broad{};    ///< the strongest that holds and is not touched; nothing: none holds
  double gained_db = 0.0;                ///< of anew over broad; below 0: broad is the stronger one
  double reset_s = 0.0;                  ///< what setting it anew takes
  std::optional<double> resets_per_h{};  ///< of anew; unknown without shares and stays, or a tuner's tunes_an_hour
  std::optional<double> time_share{};    ///< of the time, spent on that; at most 1
  std::optional<double>
      pays_up_to_per_h{};  ///< resets an hour at which both make as many contacts; with [contacts] alone
};

/// How often an hour conditions change, by their shares and mean stays: 0 where only one is ever met. One without a
/// share, or with a share of 0, does not count. Nothing where a stay of one that counts is not stated, or no share of
/// several conditions.
std::optional<double> condition_changes_per_h(const station::Station& station);

/// For every band on which something that is set anew holds; where antennas cannot be compared (compared.hpp), for each
/// by itself. Contacts an hour are taken as the share of the time that is left for them times the share that does not
/// fail at the loss against the best (contacts_failed): a model.
/// @throws DomainError  a plan of another station
std::vector<ResetTrade> reset_trades(const station::Station& station, const Plan& plan);

}  // namespace stile::plan
