#include <fmt/format.h>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"

namespace seamwright::report {
namespace {

/// A spot under this share of the picture is too small to carry a mark.
constexpr double kLeastShownRatio = 3e-4;

std::string label(const PictureLabel& place, const std::string& mark) {
  if (place.shown_ratio < kLeastShownRatio) return "";
  return fmt::format("<span class=\"mark\" style=\"left:{:.2f}%;top:{:.2f}%\">{}</span>",
                     100 * place.x_ratio, 100 * place.y_ratio, text::escaped(mark));
}

}  // namespace

std::string figure(const ShownPicture& picture, const HandOff& hand_off,
                   const std::string& description, const std::string& caption) {
  std::string marks;
  const bool is_one_piece = picture.labels.size() == 1;
  for (std::size_t i = 0; i < picture.labels.size() && !is_one_piece; ++i)
    marks += label(picture.labels[i], hand_off.pieces.at(i).mark);
  return fmt::format(
      "<figure><div class=\"shot\"><img src=\"data:image/png;base64,{}\" width=\"{}\" "
      "height=\"{}\" alt=\"{}\">{}</div>{}</figure>",
      text::base64(picture.png), picture.size.width, picture.size.height,
      text::escaped(description), marks,
      caption.empty() ? "" : "<figcaption>" + caption + "</figcaption>");
}

std::string tag(std::string_view basis) {
  return fmt::format(" <i class=\"tag\">{}</i>", basis);
}

std::string table(const std::vector<std::string>& heading,
                  const std::vector<std::vector<std::string>>& rows, const std::string& caption,
                  const std::vector<bool>& numeric) {
  const auto open = [&](std::size_t column, const char* element) {
    const bool is_number = column < numeric.size() && numeric[column];
    return std::string("<") + element + (is_number ? " class=\"n\"" : "");
  };
  std::string html = "<div class=\"wide\"><table><thead><tr>";
  for (std::size_t c = 0; c < heading.size(); ++c)
    html += open(c, "th") + " scope=\"col\">" + heading[c] + "</th>";
  html += "</tr></thead><tbody>";
  for (const auto& row : rows) {
    html += "<tr>";
    for (std::size_t c = 0; c < row.size(); ++c) {
      html += open(c, "td") + fmt::format(" data-h=\"{}\">", text::escaped(heading.at(c))) +
              row[c] + "</td>";
    }
    html += "</tr>\n";
  }
  return html + "</tbody></table></div>" +
         (caption.empty() ? "" : "<p class=\"basis\">" + caption + "</p>") + "\n";
}

std::string piece_styles(const HandOff& hand_off) {
  std::string rules;
  const std::vector<PieceColours> colours = piece_colours(hand_off);
  for (std::size_t i = 0; i < colours.size(); ++i)
    rules += fmt::format(".piece{}{{--c:{}}}\n", i, text::hex(colours[i].skin));
  return rules;
}

std::string mark_chip(const HandOff& hand_off, std::size_t piece) {
  return fmt::format("<b class=\"chip piece{}\">{}</b>", piece,
                     text::escaped(hand_off.pieces.at(piece).mark));
}

std::string pair_chips(const HandOff& hand_off, const JointFace& face) {
  return "<span class=\"pair\">" + mark_chip(hand_off, to_index(face.above)) + " " +
         mark_chip(hand_off, to_index(face.below)) + "</span>";
}

std::string chips(const HandOff& hand_off, const std::set<std::size_t>& pieces) {
  std::string html;
  for (const std::size_t piece : pieces)
    html += (html.empty() ? "" : " ") + mark_chip(hand_off, piece);
  return html;
}

std::vector<FittingStep> fitting_steps(const HandOff& hand_off) {
  std::vector<FittingStep> steps;
  for (const std::size_t joint : hand_off.assembly) {
    const JointFace& face = hand_off.joints.at(joint).face;
    if (steps.empty() || steps.back().seam != face.seam) steps.push_back({face.seam, {}, {}, {}});
    steps.back().above.insert(to_index(face.above));
    steps.back().below.insert(to_index(face.below));
    steps.back().joints.push_back(joint);
  }
  return steps;
}

}  // namespace seamwright::report
