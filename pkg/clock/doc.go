// Package clock brings two recordings onto one clock, with an uncertainty.
//
// Loggers and phones disagree by seconds to years. An offset can be stated
// ([Stated]), read off events that a person noted on both clocks
// ([FromEvents]), or estimated from the data: from one physical quantity that
// both devices recorded ([FromSharedQuantity]), or from the way the air
// temperatures under a bonnet answer to stopping and moving ([FromMotion]).
// [Estimate] tries what the channels allow.
//
// The estimates weigh every offset that leaves enough common time by its
// likelihood under a regression with autocorrelated noise, and report the
// shortest set of offsets that holds 95 % of the weight. Two hills in the
// likelihood make the answer ambiguous, and it says so. Where they lie further
// apart than MaxWidth, or the best offset explains the data hardly better than no
// relation at all, the error wraps [ErrUndecided]: it can't be told from these data.
package clock
