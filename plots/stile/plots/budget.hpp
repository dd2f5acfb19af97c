#pragma once
// Where each watt goes, per band and arrangement.

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

/// The places a watt can go, in the order in which a bar is drawn.
inline constexpr std::array<std::string_view, 10> budget_places{
    "radiated", "antenna", "ground",       "whip metal", "person", "chokes and wet base",
    "network",  "cable",   "not accepted", "held back"};

struct BudgetShare {
  std::string where;     ///< one of budget_places; several shares of one place add
  double power_w = 0.0;  ///< >= 0
};

struct BudgetBar {
  std::string arrangement;
  std::vector<BudgetShare> shares;  ///< their sum is the transmitter's power, > 0
  bool taken = false;               ///< marked as the one to take
};

struct BudgetPanel {
  std::string title;  ///< the band
  std::vector<BudgetBar> bars;
};

/// Horizontal stacked bars of watts, one panel a band, one bar an arrangement with its name above it. What is
/// "antenna" is what enters an antenna of which nothing more is known. What is
/// radiated (or enters such an antenna) starts at the axis in solid black (dark grey) and its figure stands at the
/// bar's end, in watts and in decibels of the transmitter's power, in brackets in decibels below the best of the panel.
/// All panels have one scale. Each place has one colour and one filling throughout; "network" is coil, capacitors and
/// contacts, "not accepted" what mismatch leaves with the transmitter, "held back" what it does not give because it
/// protects itself.
///
/// @param panels  not empty, each with a bar; twelve with five bars fit an A4 page
/// @throws DomainError  a value outside its range, or another place (the message lists those there are)
Chart budget_chart(const std::vector<BudgetPanel>& panels, const ChartText& text);

}  // namespace stile::plots
