namespace TestRig.Bench.Plotting;

/// <summary>How a panel's point stands in its channel.</summary>
public enum PanelStanding
{
    AsExpected,

    /// <summary>The first point in path order that is not as expected: this is where to look.</summary>
    FirstWrong,

    /// <summary>Not as expected either, behind or beside the first.</summary>
    AlsoWrong,

    /// <summary>Behind the first wrong stage, and nothing more is wrong than that nothing comes.</summary>
    NothingArrives,

    /// <summary>It was captured, but nothing about it could be judged or nothing was asked.</summary>
    NotJudged,

    /// <summary>No lead is there.</summary>
    NoLead,
}
