using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Diagnosing;

/// <summary>A board as a reasoner sees it: each experiment is one sight of a sweep.</summary>
public interface IBoardModel : IFaultModel<BoardFault>
{
    Sight SightOf(int experiment);

    /// <summary>What was seen, as outcomes of experiments; what does not tell is left out.</summary>
    Outcomes OutcomesOf(IEnumerable<Seen> seen);
}
