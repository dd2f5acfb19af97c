#pragma once
// How far each load may wander before what is set no longer holds: in ohms, along the way to another condition, and in
// centimetres of the trailing wire.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <stile/plan/moved_wires.hpp>
#include <stile/plan/plan.hpp>
#include <stile/tuner/reach.hpp>

namespace stile::plan {

/// How far one move of the trailing wires was solved.
struct MoveTried {
  Moved moved = Moved::raised;
  double up_to_m = 0.0;  ///< > 0: the step at which the load left, or as far as the geometry allows
};

/// One condition with its setting left as it is.
struct ConditionReach {
  std::size_t condition = 0;  ///< of Station::conditions, a normal one
  cdouble load_ohm;
  tuner::Reach reach;                    ///< inside, nearest way out or in, in ohms
  std::optional<std::size_t> towards{};  ///< the condition on the way to which the load leaves after the fewest ohms
  double towards_share = 0.0, towards_ohm = 0.0;  ///< how much of that way is left inside
  std::optional<Moved> moved{};                   ///< the least move of the trailing wires that takes the load out ...
  double moved_m = 0.0;                           ///< ... by so much, straight between the solved steps
  std::vector<MoveTried> tried{};                 ///< of a load that is inside; without trailing wires none
  std::string words{};                            ///< all that in one sentence
};

/// One arrangement on one band, at the design frequency.
struct SettingsReach {
  std::size_t band = 0, arrangement = 0;
  double share_inside = 0.0;  ///< of the straight ways between every two normal conditions, in some setting of the plan
  std::vector<ConditionReach> conditions;  ///< the normal ones
  std::vector<tuner::ReachEdge> edges;     ///< of the loads that some setting of the plan serves
};

/// For every band and arrangement that can be made, in their order. A tuner is left as it had set itself.
///
/// @param solved    as for make_plan
/// @param plan      of that station
/// @param progress  called with a line of text before each antenna that is moved, one call at a time, when given
/// @param threads   0: as many as the machine has; the result does not depend on it
/// @throws DomainError  a plan of another station
/// Accuracy: at way out and edges the SWR is the limit within 1e-9. moved_m lies between two solved steps, of which one
/// holds and the next does not (a load that leaves and comes back in between is not seen).
std::vector<SettingsReach> reach_of_settings(const station::Station& solved, const Plan& plan,
                                             const std::function<void(const std::string&)>& progress = {},
                                             unsigned threads = 0);

}  // namespace stile::plan
