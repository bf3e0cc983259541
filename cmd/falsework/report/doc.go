// Package report puts surveys, plans and verdicts into words, tables and
// JSON. It computes nothing of its own: every figure comes from the values
// handed in.
//
// The JSON forms are falsework/survey/1 ([NewSurvey]) and falsework/plan/1
// ([NewPlan]); what a person reads is written by [WriteSurvey] and
// [WritePlan].
package report
