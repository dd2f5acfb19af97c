#pragma once
// A page that stands for itself: sections of text, tables and pictures in one HTML file that asks nobody for anything.

#include <string>
#include <variant>
#include <vector>

namespace stile::plots {

struct HtmlText {
  std::string text;
  enum class Weight { plain, strong, small } weight = Weight::plain;
};

struct HtmlList {
  std::vector<std::string> items;
};

/// The first row is the heading, the first cell of every other row its name.
struct HtmlTable {
  std::string caption;
  std::vector<std::vector<std::string>> rows;
};

/// A picture as SVG with what it shows in words, for whoever cannot see it.
struct HtmlFigure {
  std::string svg;
  std::string caption;
  std::string alternative;
  bool narrow = false;  ///< drawn to be read at a phone's width; on a desktop it stays small
};

/// Text shown line by line as it is: a file.
struct HtmlListing {
  std::string caption;
  std::string text;
};

using HtmlBlock = std::variant<HtmlText, HtmlList, HtmlTable, HtmlFigure, HtmlListing>;

struct HtmlSection {
  std::string heading;
  std::vector<HtmlBlock> blocks;
};

struct HtmlPage {
  std::string title;
  std::string subtitle;
  std::vector<HtmlSection> sections;
  std::string foot;
};

/// The page as HTML 5, UTF-8. Every text is escaped; ids of pictures are made unique on the page; nothing on it is
/// fetched from anywhere and no script runs. It reads on a telephone (a table's cells under each other with their
/// headings; a picture that is not narrow keeps a size at which its type is read, and is moved within its frame), in
/// the dark, without colour and in print, where each section begins a page and no row is cut.
/// @throws Error  a picture is no SVG, or refers to something outside itself
std::string html_text(const HtmlPage& page);

}  // namespace stile::plots
