#pragma once
// A coil with its start at ground, fed at one tap and with the antenna at another, in a comparison. Internal to the
// room.

#include <vector>

#include <stile/match/one_setting.hpp>
#include <stile/network/two_port.hpp>
#include <stile/plan/detail/switched_coil.hpp>

namespace stile::plan::detail {

/// One way to set it: taps as CoilTaps counts them, the trimmer as CoilOnBand does.
struct FedPosition {
  std::size_t feed = 0, antenna = 0;
  coil::Unused unused = coil::Unused::open;  ///< turns beyond the higher of the two
  std::size_t trimmer = 0;                   ///< from the antenna's tap to ground
};

/// True when a hand that moves so much reaches `other` from what is set: "tap" is the antenna's.
bool stays_as(const FedPosition& set, const FedPosition& other, match::Moves moves);

/// How an arrangement uses a wound coil as an autotransformer on one band.
class FedCoil {
public:
  /// @param taps  of the arrangement's coil on this band, kept by reference
  FedCoil(const station::Arrangement& arrangement, const CoilTaps& taps, const station::Band& band);

  /// Every pair of taps with every trimmer position; on a band with a stated tap those that it leaves open.
  std::vector<FedPosition> positions() const;
  /// How many these are.
  std::size_t count() const;

  /// As a two-port: winding with the middle of what practice adds, trimmer, contacts and leads.
  network::ImpedanceMatrix impedances_ohm(const FedPosition& position, double frequency_hz, const Corner& corner) const;
  /// The same as parts of a ladder, all with one label: only together they mean something.
  std::vector<network::Element> elements(const FedPosition& position, double frequency_hz, const Corner& corner) const;

  double feed_turns(const FedPosition& position) const { return taps_.turns()[position.feed]; }
  double antenna_turns(const FedPosition& position) const { return taps_.turns()[position.antenna]; }
  double trimmer_f(const FedPosition& position) const;

  // What impedances_ohm is made of: the winding, the trimmer across it, and what stands in series with both leads.
  network::ImpedanceMatrix winding_ohm(const FedPosition& position, double frequency_hz, const Corner& corner) const;
  cdouble trimmer_siemens(const FedPosition& position, double frequency_hz) const;
  network::ImpedanceMatrix with_trimmer_ohm(const network::ImpedanceMatrix& winding, cdouble trimmer_siemens,
                                            double frequency_hz, const Corner& corner) const;

private:
  std::vector<FedPosition> taps() const;  // positions with the trimmer at nothing
  std::size_t trimmers() const { return coil_.trimmer_f > 0.0 ? trimmer_positions : 1; }

  station::SwitchedCoil coil_;
  match::PartStock stock_;
  const CoilTaps& taps_;
  std::optional<station::StatedTap> stated_;
};

/// What a fed coil is set to.
struct FedSetting {
  std::vector<FedPosition> conditions;  ///< one a load of the job
  double worst_loss_db = 0.0;           ///< of the normal ones
  match::Proof proof;
};

/// The best compromise among positions, by the rules of match::find_one_setting: every one is evaluated, or left when
/// one condition is worse in it than all are in another.
/// @param moves  what stays is chosen once; each_condition moves everything
/// @param job    its loads at `frequency_hz`; before and after are the cables
FedSetting find_fed_setting(const FedCoil& coil, const std::vector<FedPosition>& positions, match::Moves moves,
                            const std::vector<double>& frequency_hz, const match::SettingJob& job,
                            const Corner& corner);

}  // namespace stile::plan::detail
