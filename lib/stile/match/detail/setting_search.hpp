#pragma once
// The best combination of choices in the slots of one circuit, for the worst of many points. Internal to the room.
//
// At a point (a load at a frequency) the circuit is walked from the load with 1 A: V and I before the last slot are
// known numbers, and the wave A = V + Zs I that the source sends into its input is linear in the impedance (series) or
// admittance (shunt) of the part in the slot at the transmitter's end, A = A0 + A1 z. The radiated share of the full
// power is 4 Rs P/|A|^2 with P the power radiated at 1 A, so "not worse than what is known" is a disc of z, and so is
// an SWR limit, |V - Zs* I| <= rho |A|. Parts have no negative resistance, so each disc leaves an interval of
// reactances; choices are sorted by it, and only those within the intervals of all points are evaluated.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include <stile/network/foldback.hpp>
#include <stile/network/ladder.hpp>

namespace stile::match::detail {

/// What may stand in one slot: impedances (series) or admittances (shunt), sorted for the search.
struct SlotTable {
  bool series = true;
  std::size_t count = 0, frequencies = 0;
  std::vector<double> re, im;              ///< [frequency * count + choice]
  std::vector<std::size_t> class_start;    ///< classes + 1; a class is what a hand reaches
  std::vector<std::uint32_t> members;      ///< by class, then by index; without shorts across the line
  std::vector<std::uint32_t> order;        ///< [frequency * members.size() + k], by class, then by rising im
  std::vector<double> order_re, order_im;  ///< the parts of order

  std::size_t classes() const { return class_start.size() - 1; }
};

/// @param z_ohm     [frequency * count + choice]; infinite: no part stands there
/// @param class_of  one a choice; 0 .. the number of classes less 1
SlotTable make_slot_table(bool series, std::size_t frequencies, const std::vector<cdouble>& z_ohm,
                          const std::vector<std::size_t>& class_of);

/// Waves at the source as linear forms in V and I somewhere in the circuit, one entry a point: A = av V + ai I, which
/// the source sends, and B = bv V + bi I, which comes back.
struct Waves {
  std::vector<double> av_re, av_im, ai_re, ai_im;
  std::vector<double> bv_re, bv_im, bi_re, bi_im;
};

/// Loads to be served together, one entry a load and frequency.
struct Points {
  std::vector<std::uint32_t> frequency;  ///< index
  std::vector<double> v_re, v_im;        ///< V of the load at I = 1 A
  std::vector<double> power;             ///< 4 Rs times the power radiated at 1 A
  std::vector<double> most_gain;         ///< share of the source's power that reaches the setting at best
  Waves waves;

  std::size_t size() const { return frequency.size(); }
};

/// The source as the search sees it.
struct SourceLimits {
  network::Source source{};
  std::vector<network::FoldbackPoint> foldback;
  double swr_limit = 2.0;
  double most_reflection2 = 0.0;  ///< |reflection|^2 at the SWR limit; infinite without one

  /// Offered power over full power.
  double offered(double reflection2) const;
};

/// SWR of a squared reflection; infinite for 1 and above.
double swr_of(double reflection2);

/// One combination: choices in order from load to transmitter.
struct Combination {
  double share = 0.0;  ///< radiated over full power at the worst point
  std::vector<std::uint32_t> choices;
};

/// What each point sees with a combination.
struct PointResult {
  double share = 0.0;        ///< radiated over full power, with fold-back
  double reflection2 = 0.0;  ///< squared
};

class CombinationSearch {
public:
  explicit CombinationSearch(const SourceLimits& limits) : limits_(limits) {}

  /// The combination with the greatest share at its worst point, if that is above `floor`.
  /// @param slots      from load to transmitter
  /// @param classes    one a slot: what is chosen from
  /// @param must_hold  only combinations within the SWR limit at every point
  std::optional<Combination> best(const std::vector<const SlotTable*>& slots, const std::vector<std::size_t>& classes,
                                  const Points& points, bool must_hold, double floor);

  /// Whether there is one within the SWR limit at every point: the search ends at the first.
  bool any_holds(const std::vector<const SlotTable*>& slots, const std::vector<std::size_t>& classes,
                 const Points& points);

  /// Combinations evaluated so far.
  std::size_t tried() const { return tried_; }

private:
  struct State {
    std::vector<double> v_re, v_im, i_re, i_im;
  };
  struct Bounded {
    double bound;
    std::uint32_t choice;
  };

  void search(const std::vector<const SlotTable*>& slots, const std::vector<std::size_t>& classes, const Points& points,
              bool must_hold, double floor);
  bool ends() const { return any_ && found_; }
  void choose_before_scan(std::size_t slot);
  void descend(std::size_t depth);
  void scan();
  double bound_of(std::size_t depth, std::uint32_t choice) const;
  void step(std::size_t depth, std::uint32_t choice);
  void judge_straight();
  void offer(double share);

  const SourceLimits& limits_;
  std::size_t tried_ = 0;
  const std::vector<const SlotTable*>* slots_ = nullptr;
  const std::vector<std::size_t>* classes_ = nullptr;
  const Points* points_ = nullptr;
  std::size_t scanned_ = 0;  // the slot whose choices are searched by intervals
  Waves waves_;              // in V and I on the transmitter's side of the scanned slot
  bool must_hold_ = false, found_ = false;
  bool any_ = false;  // the first that is found will do
  Combination best_;
  std::vector<std::uint32_t> choice_;
  std::vector<State> states_;                  // on the load's side of each slot
  std::vector<std::vector<Bounded>> bounded_;  // choices of each slot but the last, best bound first
  std::vector<double> a0_re_, a0_im_, a1_re_, a1_im_, b0_re_, b0_im_, b1_re_, b1_im_;
  std::vector<double> low_, high_, re_low_, re_high_;  // of each frequency
  std::vector<char> seen_;
};

/// What each point sees with the parts z (series) or y (shunt) of a circuit, from load to transmitter.
std::vector<PointResult> judge(const std::vector<const SlotTable*>& slots, const std::vector<std::uint32_t>& choices,
                               const Points& points, const SourceLimits& limits);

}  // namespace stile::match::detail
