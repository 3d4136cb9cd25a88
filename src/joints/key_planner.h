#pragma once

#include "joints/face_context.h"

namespace seamwright::joints {

/// Chooses the keys of all joint faces one after another, in their order: each must keep its wall
/// to the keys that earlier faces put into the same pieces.
class KeyPlanner {
 public:
  explicit KeyPlanner(const JointInputs& inputs);

  /// The joint of one face; what can't be had is said in warnings().
  Joint plan(const FaceContext& context);

  std::vector<JointWarning> take_warnings() { return std::move(warnings_); }
  /// Each piece's pose with its pins counted: moved on the bed where they stick out, size_mm
  /// larger.
  std::vector<Pose> poses() const;

 private:
  std::optional<double> depth_at(const FaceContext& context, Vec2 at, double diameter_mm,
                                 std::optional<Side> male) const;
  bool has_room(const FaceContext& context, Side side, Vec2 at, double diameter_mm, double depth_mm,
                bool is_male) const;
  KeyLayout lay_out(const FaceContext& context, std::optional<Side> male) const;
  std::optional<KeyLayout> lay_out_pins(const FaceContext& context, Side& male);
  bool pins_fit(const FaceContext& context, Side male, const KeyLayout& layout) const;
  Box3 box_with_pins(const FaceContext& context, Side male, const KeyLayout& layout) const;
  void take(const FaceContext& context, const KeyLayout& layout, std::optional<Side> male,
            Joint& joint);
  void warn(std::string code, std::string message) {
    warnings_.push_back({std::move(code), std::move(message)});
  }
  std::string why_no_key(const FaceContext& context) const;
  void warn_of_few(const FaceContext& context, const KeyLayout& layout);

  const JointInputs& inputs_;
  std::vector<std::vector<TakenPlace>> taken_;  ///< by piece
  std::vector<Box3> bed_boxes_;                 ///< by piece, on its bed, pins counted
  std::vector<JointWarning> warnings_;
};

}  // namespace seamwright::joints
