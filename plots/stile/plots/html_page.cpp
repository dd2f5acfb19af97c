#include <stile/plots/html_page.hpp>

#include <sstream>

#include <fmt/format.h>
#include <pugixml.hpp>

#include <stile/base/errors.hpp>
#include <stile/plots/type.hpp>

namespace stile::plots {
namespace {

constexpr const char* style_sheet = R"(
:root { color-scheme: light dark; --ink: #16191c; --paper: #ffffff; --line: #8a9096; --band: #eef0f2; }
@media (prefers-color-scheme: dark) { :root { --ink: #e8eaec; --paper: #15181b; --line: #767d84; --band: #23282d; } }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 68rem; padding: 1rem 1.25rem 3rem; color: var(--ink); background: var(--paper);
  font: 1rem/1.5 system-ui, "DejaVu Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 0.5rem 0; }
h2 { font-size: 1.25rem; margin: 2.2rem 0 0.6rem; padding-top: 0.6rem; border-top: 3px solid var(--ink); }
nav ol { columns: 16rem; padding-left: 1.4rem; }
a { color: inherit; }
table { width: 100%; border-collapse: collapse; margin: 0.8rem 0 1.4rem; font-size: 0.92rem; }
caption { text-align: left; font-weight: 600; padding: 0.3rem 0; }
th, td { text-align: left; vertical-align: top; padding: 0.3rem 0.6rem 0.3rem 0; border-bottom: 1px solid var(--line); }
thead th { border-bottom: 2px solid var(--ink); }
figure { margin: 1rem 0 1.6rem; }
figure svg { display: block; width: 100%; height: auto; max-width: 52rem; background: #ffffff; border: 1px solid var(--line); }
figure.narrow svg { max-width: 30rem; }
figcaption { font-size: 0.92rem; padding-top: 0.3rem; }
pre { white-space: pre-wrap; overflow-wrap: anywhere; background: var(--band); padding: 0.8rem; font: 0.82rem/1.4 "DejaVu Sans Mono", monospace; }
.strong { font-weight: 700; }
.small { font-size: 0.88rem; }
@media (max-width: 44rem) {
  thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  table, caption, tbody, tr, th, td { display: block; width: 100%; }
  tr { border-bottom: 2px solid var(--ink); padding: 0.4rem 0; }
  th, td { border: 0; padding: 0.1rem 0; }
  td::before { content: attr(data-head) ": "; font-weight: 600; }
  td[data-head=""]::before { content: ""; }
}
@media screen and (max-width: 44rem) {
  body { padding-left: 0.75rem; padding-right: 0.75rem; }
  figure:not(.narrow) .frame { overflow-x: auto; }
  figure:not(.narrow) svg { width: 42rem; }
}
@page { margin: 15mm; }
@media print {
  :root { --ink: #000000; --paper: #ffffff; --line: #777777; --band: #f2f2f2; color-scheme: light; }
  body { max-width: none; padding: 0; font-size: 9.5pt; }
  nav { display: none; }
  section + section { break-before: page; }
  h2, .strong, caption, thead { break-after: avoid; }
  figure, tr { break-inside: avoid; }
  figure svg { max-height: 205mm; }
  thead { display: table-header-group; }
}
)";

pugi::xml_node add(pugi::xml_node parent, const char* name, const std::string& text = "", const char* kind = "") {
  pugi::xml_node node = parent.append_child(name);
  if (*kind != '\0') node.append_attribute("class") = kind;
  if (!text.empty()) node.text() = detail::one_line(text).c_str();
  return node;
}

bool replace_all(std::string& text, const std::string& what, const std::string& with) {
  bool found = false;
  for (std::size_t at = text.find(what); at != text.npos; at = text.find(what, at + with.size())) {
    text.replace(at, what.size(), with);
    found = true;
  }
  return found;
}

/// Gives what a picture names, and every reference to it, a prefix of its own.
void make_unique(pugi::xml_node node, const std::string& prefix) {
  const std::string name = node.name();
  if (name == "script" || name == "foreignObject") throw Error("a picture for the page holds a " + name);
  for (pugi::xml_attribute a : node.attributes()) {
    const std::string attribute = a.name();
    std::string value = a.value();
    if (attribute == "id") {
      a = (prefix + value).c_str();
    } else if (attribute == "href" || attribute == "xlink:href") {
      if (value.empty() || value[0] != '#') throw Error("a picture for the page refers to \"" + value + "\"");
      a = ("#" + prefix + value.substr(1)).c_str();
    } else if (value.find("url(") != value.npos) {
      if (!replace_all(value, "url(#", "url(#" + prefix))
        throw Error("a picture for the page refers to \"" + value + "\"");
      a = value.c_str();
    }
  }
  for (pugi::xml_node child = node.first_child(); child;) {
    const pugi::xml_node next = child.next_sibling();
    const std::string kind = child.name();
    if (kind == "title" || kind == "desc" || child.type() == pugi::node_comment) {
      node.remove_child(child);  // the page says what the picture shows
    } else {
      make_unique(child, prefix);
    }
    child = next;
  }
}

/// A browser forgets what a table's element is when a style shows it as a block, as on a phone: the role says it again.
pugi::xml_node add_part(pugi::xml_node parent, const char* name, const char* role, const std::string& text = "") {
  pugi::xml_node node = add(parent, name, text);
  node.append_attribute("role") = role;
  return node;
}

struct Writer {
  pugi::xml_node section;
  std::size_t& pictures;

  void operator()(const HtmlText& t) const {
    add(section, "p", t.text,
        t.weight == HtmlText::Weight::strong  ? "strong"
        : t.weight == HtmlText::Weight::small ? "small"
                                              : "");
  }
  void operator()(const HtmlList& l) const {
    pugi::xml_node list = add(section, "ul");
    for (const std::string& item : l.items) add(list, "li", item);
  }
  void operator()(const HtmlTable& t) const {
    if (t.rows.empty()) return;
    pugi::xml_node table = add_part(section, "table", "table");
    if (!t.caption.empty()) add(table, "caption", t.caption);
    pugi::xml_node head = add_part(add_part(table, "thead", "rowgroup"), "tr", "row");
    for (const std::string& cell : t.rows[0]) {
      // An empty corner is no heading of anything.
      if (cell.empty()) {
        add_part(head, "td", "cell");
      } else {
        add_part(head, "th", "columnheader", cell).append_attribute("scope") = "col";
      }
    }
    pugi::xml_node body = add_part(table, "tbody", "rowgroup");
    for (std::size_t r = 1; r < t.rows.size(); ++r) {
      pugi::xml_node row = add_part(body, "tr", "row");
      for (std::size_t c = 0; c < t.rows[0].size(); ++c) {
        const std::string cell = c < t.rows[r].size() ? t.rows[r][c] : "";
        if (c == 0) {
          add_part(row, "th", "rowheader", cell).append_attribute("scope") = "row";
        } else {
          add_part(row, "td", "cell", cell).append_attribute("data-head") = detail::one_line(t.rows[0][c]).c_str();
        }
      }
    }
  }
  void operator()(const HtmlFigure& f) const {
    pugi::xml_document document;
    const pugi::xml_parse_result parsed = document.load_buffer(f.svg.data(), f.svg.size());
    pugi::xml_node svg = document.child("svg");
    if (!parsed || !svg) throw Error(fmt::format("a picture for the page is no SVG: {}", parsed.description()));
    make_unique(svg, fmt::format("p{}-", ++pictures));
    if (!svg.attribute("viewBox"))
      svg.append_attribute("viewBox") =
          fmt::format("0 0 {} {}", svg.attribute("width").as_double(), svg.attribute("height").as_double()).c_str();
    for (const char* size : {"width", "height"}) svg.remove_attribute(size);
    svg.append_attribute("role") = "img";
    svg.append_attribute("aria-label") = detail::one_line(f.alternative).c_str();
    pugi::xml_node figure = add(section, "figure", "", f.narrow ? "narrow" : "");
    pugi::xml_node frame = add(figure, "div", "", "frame");
    if (!f.narrow) {  // what is moved by a finger is moved by keys too
      frame.append_attribute("role") = "group";
      frame.append_attribute("aria-label") = detail::one_line(f.caption).c_str();
      frame.append_attribute("tabindex") = "0";
    }
    frame.append_copy(svg);
    add(figure, "figcaption", f.caption);
  }
  void operator()(const HtmlListing& l) const {
    if (!l.caption.empty()) add(section, "p", l.caption, "strong");
    std::string lines;
    std::istringstream text(l.text);
    for (std::string line; std::getline(text, line);) lines += detail::one_line(line) + "\n";
    add(section, "pre").text() = lines.c_str();
  }
};

/// XML's short form of an element without content is an open tag in HTML.
struct FullTags : pugi::xml_tree_walker {
  bool for_each(pugi::xml_node& node) override {
    const std::string name = node.name();
    const bool empty_in_html = name == "meta" || name == "br";
    bool svg = name == "svg";
    for (pugi::xml_node up = node.parent(); up; up = up.parent()) svg |= std::string(up.name()) == "svg";
    if (node.type() == pugi::node_element && !empty_in_html && !svg && !node.first_child())
      node.append_child(pugi::node_pcdata).set_value("");
    return true;
  }
};

}  // namespace

std::string html_text(const HtmlPage& page) {
  pugi::xml_document document;
  document.append_child(pugi::node_doctype).set_value("html");
  pugi::xml_node html = document.append_child("html");
  html.append_attribute("lang") = "en";
  pugi::xml_node head = add(html, "head");
  add(head, "meta").append_attribute("charset") = "utf-8";
  pugi::xml_node viewport = add(head, "meta");
  viewport.append_attribute("name") = "viewport";
  viewport.append_attribute("content") = "width=device-width, initial-scale=1";
  add(head, "title", page.title);
  pugi::xml_node style = head.append_child("style");
  style.append_child(pugi::node_pcdata).set_value(style_sheet);

  pugi::xml_node body = add(html, "body");
  add(body, "h1", page.title);
  if (!page.subtitle.empty()) add(body, "p", page.subtitle);
  pugi::xml_node contents = add(add(body, "nav"), "ol");
  contents.parent().append_attribute("aria-label") = "contents";
  pugi::xml_node main = add(body, "main");
  std::size_t pictures = 0;
  for (std::size_t n = 0; n < page.sections.size(); ++n) {
    const std::string id = fmt::format("s{}", n + 1);
    add(add(contents, "li"), "a", page.sections[n].heading).append_attribute("href") = ("#" + id).c_str();
    pugi::xml_node section = add(main, "section");
    section.append_attribute("id") = id.c_str();
    add(section, "h2", page.sections[n].heading);
    for (const HtmlBlock& block : page.sections[n].blocks) std::visit(Writer{section, pictures}, block);
  }
  add(add(body, "footer"), "p", page.foot, "small");
  FullTags full;
  document.traverse(full);
  std::ostringstream out;
  document.save(out, "", pugi::format_raw | pugi::format_no_declaration, pugi::encoding_utf8);
  return out.str();
}

}  // namespace stile::plots
