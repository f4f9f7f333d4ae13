using Microsoft.AspNetCore.Http;
using Microsoft.Net.Http.Headers;
using TestRig.Bench.Files;
using TestRig.Bench.Showing;

namespace TestRig.Service;

/// <summary>Turns what cannot be told of a run into an answer that says why and what to do.</summary>
internal static class RunProblems
{
    /// <summary>After which a store that cannot be reached, or a busy service, is worth another question.</summary>
    private const int SecondsToWait = 10;

    /// <param name="answer">Makes the answer of a status, a title and what is to be said.</param>
    public static Func<EndpointFilterInvocationContext, EndpointFilterDelegate, ValueTask<object?>> Filter(Func<int, string, string, IResult> answer) => async (context, next) =>
    {
        try
        {
            return await next(context);
        }
        catch (RunQuestionException question)
        {
            return question.IsUnknown ? answer(StatusCodes.Status404NotFound, "Not on record", question.Message) : answer(StatusCodes.Status400BadRequest, "Does not fit", question.Message);
        }
        catch (BadQueryException bad)
        {
            return answer(StatusCodes.Status400BadRequest, "Not understood", bad.Message);
        }
        catch (RunStorageException storage)
        {
            return Later(context, answer(StatusCodes.Status503ServiceUnavailable, "The run store does not answer", storage.Message));
        }
        catch (ServiceBusyException busy)
        {
            return Later(context, answer(StatusCodes.Status503ServiceUnavailable, "Busy", busy.Message));
        }
    };

    /// <summary>RFC 9457.</summary>
    public static IResult Details(int status, string title, string words) => Results.Problem(words, statusCode: status, title: title);

    private static IResult Later(EndpointFilterInvocationContext context, IResult answer)
    {
        context.HttpContext.Response.Headers[HeaderNames.RetryAfter] = SecondsToWait.ToString(System.Globalization.CultureInfo.InvariantCulture);
        return answer;
    }
}
