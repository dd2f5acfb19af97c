#pragma once
// A coil with its start at ground, fed at one tap and with the antenna at another, in a comparison. Internal to the room.

#include <vector>

#include <stile/match/one_setting.hpp>
#include <stile/network/two_port.hpp>
#include <stile/plan/detail/switched_coil.hpp>

namespace stile::plan::detail {

/// How an arrangement uses a wound coil as an autotransformer on one band. In a position `part` says where the transmitter is
/// and what becomes of the dead turns, `tap` where the antenna is; a trimmer stands from there to ground.
class FedCoil {
public:
  /// @param taps  of the arrangement's coil on this band, kept by reference
  FedCoil(const station::Arrangement& arrangement, const CoilTaps& taps, const station::Band& band);

  /// Every pair of taps; on a band with a stated tap those that it leaves open.
  std::vector<match::Choice> positions() const;

  /// As a two-port: winding with the middle of what practice adds, trimmer, contacts and leads.
  network::ImpedanceMatrix impedances_ohm(const match::Choice& position, double frequency_hz,
                                          const Corner& corner) const;
  /// The same as parts of a ladder, all with one label: only together they mean something.
  std::vector<network::Element> elements(const match::Choice& position, double frequency_hz,
                                         const Corner& corner) const;

  double feed_turns(const match::Choice& position) const { return taps_.turns()[position.part / 2]; }
  double antenna_turns(const match::Choice& position) const { return taps_.turns()[position.tap]; }
  coil::Unused unused(const match::Choice& position) const;
  double trimmer_f(const match::Choice& position) const;

private:
  station::SwitchedCoil coil_;
  match::PartStock stock_;
  const CoilTaps& taps_;
  std::optional<station::StatedTap> stated_;
};

/// What a fed coil is set to.
struct FedSetting {
  std::vector<match::Choice> conditions;  ///< one a load of the job
  double worst_loss_db = 0.0;             ///< of the normal ones
  match::Proof proof;
};

/// The best compromise among positions, by the rules of match::find_one_setting: every one is evaluated, or left when one
/// condition is worse in it than all are in another.
/// @param moves  what stays is chosen once: "tap" moves the antenna's, each_condition everything
/// @param job    its loads at `frequency_hz`; before and after are the cables
FedSetting find_fed_setting(const FedCoil& coil, const std::vector<match::Choice>& positions, match::Moves moves,
                            const std::vector<double>& frequency_hz, const match::SettingJob& job,
                            const Corner& corner);

}  // namespace stile::plan::detail
